import { MINUTES_PER_DAY, type WallWindow } from '../../units/index.ts';

/** The hours that one period of a tariff holds, on the kinds of day it names. */
export interface Held {
  readonly days: 'every-day' | 'weekdays' | 'weekend';
  readonly windows: readonly WallWindow[];
}

/** Hours that no period holds, or more than one. */
export interface UnevenHours {
  /** The periods that hold, by their place in the list. */
  readonly holders: readonly number[];
  readonly days: 'every day' | 'weekdays' | 'weekend';
  /** Minutes since midnight. */
  readonly from: number;
  readonly to: number;
}

const STEP = 15;

/**
 * Each kind of day stands alone: a period past midnight holds the early and the late hours of the
 * days that it names. What is uneven alike on all days is told once.
 */
export function unevenHours(periods: readonly Held[]): UnevenHours[] {
  const weekdays = runsOf('weekdays', periods);
  const weekend = runsOf('weekend', periods);
  const same = (a: UnevenHours, b: UnevenHours): boolean =>
    a.from === b.from && a.to === b.to && a.holders.join() === b.holders.join();
  return [
    ...weekdays.map((run) =>
      weekend.some((other) => same(run, other)) ? { ...run, days: 'every day' as const } : run,
    ),
    ...weekend.filter((run) => !weekdays.some((other) => same(run, other))),
  ];
}

function runsOf(days: 'weekdays' | 'weekend', periods: readonly Held[]): UnevenHours[] {
  const holdersAt = (minute: number): number[] =>
    [...periods.entries()].flatMap(([index, period]) => {
      const applies = period.days === 'every-day' || period.days === days;
      const holds = period.windows.some(({ from, to }) => from <= minute && minute < to);
      return applies && holds ? [index] : [];
    });
  const runs: UnevenHours[] = [];
  for (let minute = 0; minute < MINUTES_PER_DAY; minute += STEP) {
    const holders = holdersAt(minute);
    const last = runs.at(-1);
    if (holders.length === 1) continue;
    if (last !== undefined && last.to === minute && last.holders.join() === holders.join()) {
      runs[runs.length - 1] = { ...last, to: minute + STEP };
    } else {
      runs.push({ holders, days, from: minute, to: minute + STEP });
    }
  }
  return runs;
}
