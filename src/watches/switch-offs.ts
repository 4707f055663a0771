import { DAY, type Instant } from '../units/index.ts';
import { medianOf } from './median.ts';

/** Where a heater switched off, day by day, over a fortnight. Days are counted in UTC from 1970. */
export type SwitchOffs = readonly SwitchOffDay[];

interface SwitchOffDay {
  readonly day: number;
  /** The newest of the day, °C. */
  readonly temperatures: readonly number[];
}

const DAYS = 15;
const A_DAY = 5;
/** One switch-off of a day may be a relay that stuck and was unplugged. */
const LEAST_A_DAY = 2;
const dayOf = (at: Instant): number => Math.floor(at / DAY);

export function noteSwitchOff(before: SwitchOffs, temperature: number, at: Instant): SwitchOffs {
  const day = dayOf(at);
  const last = before.at(-1);
  if (last?.day === day) {
    const temperatures = [...last.temperatures, temperature].slice(-A_DAY);
    return [...before.slice(0, -1), { day, temperatures }];
  }
  const kept = before.filter((it) => it.day < day && it.day > day - DAYS);
  return [...kept, { day, temperatures: [temperature] }];
}

export interface Wander {
  /** How far the switch-off has moved from the first of the days to the last, K. */
  readonly by: number;
  /** How much of that lies between two neighboring days, K. */
  readonly step: number;
  /** Where it switches off now, °C. */
  readonly now: number;
  /** Days that count. */
  readonly days: number;
}

/** How many days at either end are taken together. */
const ENDS = 3;
const ENOUGH_DAYS = 7;

/** How the switch-off has moved within 14 days; undefined while too few of them count. */
export function wanderOf(offs: SwitchOffs, now: Instant): Wander | undefined {
  const oldest = dayOf(now) - DAYS + 1;
  const medians = offs
    .filter(({ day, temperatures }) => day >= oldest && temperatures.length >= LEAST_A_DAY)
    .map(({ temperatures }) => medianOf(temperatures) ?? Number.NaN);
  if (medians.length < ENOUGH_DAYS) return undefined;
  const first = medianOf(medians.slice(0, ENDS)) ?? Number.NaN;
  const last = medianOf(medians.slice(-ENDS)) ?? Number.NaN;
  const by = last - first;
  let step = 0;
  for (let i = 1; i < medians.length; i += 1) {
    const moved = (medians[i] ?? 0) - (medians[i - 1] ?? 0);
    if (moved * by > 0 && Math.abs(moved) > Math.abs(step)) step = moved;
  }
  return { by, step, now: last, days: medians.length };
}
