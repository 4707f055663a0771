import { HOUR, type Instant, type Logger, MINUTE } from '../../src/units/index.ts';
import { playSeed } from './one-seed.ts';

/** Plays a seed again and prints, from a moment on, the truth about one device, tank or probe. */
export function trace(
  say: (line: string) => void,
  options: { seed: number; subject: string; from: Instant; hours: number; start: Instant },
): void {
  const { seed, subject, from, hours, start } = options;
  const until = from + hours * HOUR;
  let now: number = start;
  const isNow = (): boolean => now >= from && now <= until;
  const heard =
    (level: string) =>
    (fields: Readonly<Record<string, unknown>>, message: string): void => {
      if (isNow() && JSON.stringify(fields).includes(subject)) {
        say(`${new Date(now).toISOString()} ${level} ${message} ${JSON.stringify(fields)}`);
      }
    };
  const logger: Logger = {
    debug: heard('debug'),
    info: heard('info'),
    warn: heard('warn'),
    error: heard('error'),
  };
  playSeed({
    seed,
    days: Math.ceil((until - start) / (24 * HOUR)),
    logger,
    onMinute({ simulator, trials, config }) {
      now = simulator.house.at;
      if (!isNow() || Math.round(now / MINUTE) % 5 !== 0) return;
      const { house } = simulator;
      const tank = config.devices[subject]?.tank ?? config.probes[subject]?.tank ?? subject;
      const drawn = Object.entries(config.devices)
        .filter(([, device]) => device.tank === tank)
        .map(([id]) => `${id} ${house.devices.get(id)?.watts.toFixed(1)} W`);
      const celsius = house.tanks.get(tank)?.temperature.toFixed(2);
      const room = house.rooms.get(config.tanks[tank]?.room ?? subject)?.toFixed(2);
      const faults = trials
        .filter(({ place }) => place.touched.has(`tank/${tank}`))
        .map(({ fault, mended }) => `${fault.kind}${mended === undefined ? '' : ' (mended)'}`);
      say(
        `${new Date(now).toISOString()} tank ${celsius} room ${room} outdoors ${house.outdoors.toFixed(1)} mains ${house.mains.toFixed(3)} ${drawn.join(', ')} ${faults.join(', ')}`,
      );
    },
  });
}
