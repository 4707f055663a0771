import type { Alert } from '../../src/alerts/index.ts';
import type { House } from '../../src/app/house.ts';
import { type Instant, MINUTE } from '../../src/units/index.ts';
import { chillerShare, heatersOf } from './gear.ts';
import { fallWithin, type Truth } from './truth.ts';

/** How near the truth has to be to what an alert says: probes are not better. */
const NEAR_K = 0.1;

/** Whether an alert says what truly was so, though no fault was struck. */
export function isTrueAlert(
  { watch, subject }: Pick<Alert, 'watch' | 'subject'>,
  {
    truth,
    house,
    heard,
  }: { truth: Truth; house: House; heard: (source: string) => Instant | undefined },
): boolean {
  const { config } = house;
  const tank = config.tanks[subject.id] ?? config.tanks[config.devices[subject.id]?.tank ?? ''];
  const tankId = subject.kind === 'tank' ? subject.id : config.devices[subject.id]?.tank;
  const celsius = tankId === undefined ? undefined : truth.tank(tankId);
  switch (watch) {
    case 'tank-too-warm':
      return tank !== undefined && celsius !== undefined && celsius > tank.keep_c.max - NEAR_K;
    case 'tank-too-cold':
      return tank !== undefined && celsius !== undefined && celsius < tank.keep_c.min + NEAR_K;
    case 'room-cooling':
      return isCooling(subject.id);
    case 'heater-overmatched': {
      const before = tankId === undefined ? undefined : truth.tank(tankId, 120);
      const fell = before !== undefined && celsius !== undefined && before - celsius > 0.05;
      return fell && truth.duty(subject.id, 180) > 0.93;
    }
    case 'heater-against-chiller':
      return tankId !== undefined && chillerShare({ truth, house, tank: tankId }) > 0.09;
    case 'plug-silent':
    case 'probe-silent': {
      const last = heard(`${subject.kind}/${subject.id}`);
      return last !== undefined && truth.now - last >= 14 * MINUTE;
    }
    default:
      return false;
  }

  function isCooling(room: string): boolean {
    const { fall_k, within_min } = config.watches.room_cooling;
    const fallen = fallWithin((ago) => truth.room(room, ago), within_min + 30) ?? 0;
    if (fallen >= fall_k - 2 * NEAR_K) return true;
    const air = truth.room(room) ?? Number.NaN;
    return Object.entries(config.tanks).some(([id, { room: of, keep_c }]) => {
      const watts = heatersOf(id, config).reduce((sum, heater) => sum + heater.watts, 0);
      return of === room && watts > 0 && air < keep_c.min - watts / truth.lossOf(id) + 1;
    });
  }
}
