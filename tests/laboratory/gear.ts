import type { House } from '../../src/app/house.ts';
import type { Config } from '../../src/config/index.ts';
import type { Fault } from '../../src/simulator/index.ts';
import { type Instant, MINUTE, slotOf } from '../../src/units/index.ts';
import type { Sick } from './rules.ts';

const WATER_J_PER_L = 4186;

export const deviceOf = (fault: Fault): string | undefined =>
  'device' in fault ? fault.device : undefined;

/** The tank that a fault is in. */
export function tankOf(fault: Fault, { devices, probes }: Config): string | undefined {
  if ('tank' in fault) return fault.tank;
  if ('device' in fault) return devices[fault.device]?.tank;
  if ('probe' in fault) return probes[fault.probe]?.tank;
  return undefined;
}

export const heatersOf = (tank: string, { devices }: Config): { id: string; watts: number }[] =>
  Object.entries(devices)
    .filter(([, device]) => device.tank === tank && device.kind === 'heater')
    .map(([id, { nameplate_w: watts }]) => ({ id, watts }));

/** By how much the heaters' work of the last `minutes` would have warmed the tank, K. */
export function givenKelvin(
  { truth, house, liters }: Pick<Sick, 'truth' | 'house' | 'liters'>,
  tank: string,
  minutes: number,
  of: 'all' | 'after-losses',
): number {
  const store = (liters.get(tank) ?? 1) * WATER_J_PER_L;
  const given = heatersOf(tank, house.config).reduce(
    (sum, { id, watts }) => sum + truth.duty(id, minutes) * minutes * 60 * watts,
    0,
  );
  if (of === 'all') return given / store;
  const above = (truth.tank(tank) ?? 0) - (truth.room(house.config.tanks[tank]?.room ?? '') ?? 0);
  return (given - truth.lossOf(tank) * above * minutes * 60) / store;
}

/** The part of the last day's quarter-hours in which a heater drew, and a chiller nearby. */
export function chillerShare({
  truth,
  house,
  tank,
}: Pick<Sick, 'truth' | 'house'> & { tank: string }): number {
  const chillers = Object.entries(house.config.devices)
    .filter(([, device]) => device.tank === tank && device.kind === 'chiller')
    .map(([id]) => id);
  const drew = (devices: readonly string[], cell: number): boolean => {
    for (let minute = 0; minute < 15; minute += 3) {
      if (devices.some((device) => truth.isOn(device, cell * 15 + minute))) return true;
    }
    return false;
  };
  const heaters = heatersOf(tank, house.config).map(({ id }) => id);
  let together = 0;
  for (let cell = 0; cell < 96; cell += 1) {
    if (!drew(heaters, cell)) continue;
    if ([cell - 1, cell, cell + 1].some((near) => near >= 0 && drew(chillers, near))) together += 1;
  }
  return together / 96;
}

/** Whether a device ought to be on by its schedule. */
export function isPlanned({ config, calendar }: House, device: string, at: Instant): boolean {
  const minute = calendar.local(at).minute + Math.floor((at - slotOf(at)) / MINUTE);
  const { schedule = [] } = config.devices[device] ?? {};
  return schedule.some(({ from, to }) => minute >= minuteOf(from) && minute < minuteOf(to));
}

function minuteOf(time: string): number {
  const [hours = 0, minutes = 0] = time.split(':').map(Number);
  return hours * 60 + minutes;
}
