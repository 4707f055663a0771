import { MINUTES_PER_DAY, wallWindows } from '../units/index.ts';
import type { TariffConfig } from './config.ts';

export type TimeOfUse = Extract<TariffConfig['energy'], { kind: 'time-of-use' }>;
export type Period = TimeOfUse['periods'][number];

/** Rates change on quarter-hours of the wall clock, as slots do in every zone of today. */
export const QUARTER = 15;
export const QUARTERS_PER_DAY = MINUTES_PER_DAY / QUARTER;

const WEEKDAYS = [1, 2, 3, 4, 5, 6, 7];

/** Where a moment of the wall clock stands in the week: weekday 1 Monday … 7 Sunday. */
export const quarterOfWeek = (weekday: number, minute: number): number =>
  (weekday - 1) * QUARTERS_PER_DAY + Math.floor(minute / QUARTER);

function holdsOn(period: Period, weekday: number): boolean {
  if (period.days === 'every-day') return true;
  return weekday >= 6 === (period.days === 'weekend');
}

/**
 * For each quarter-hour of the week, which periods hold (by their place in the list). Each day
 * stands alone: a weekday period from 22:00 to 06:00 is the early and the late hours of Monday to
 * Friday, and Saturday before 06:00 is the weekend's. Limits must stand on quarter-hours.
 */
export function coverage(periods: readonly Period[]): readonly (readonly number[])[] {
  const week: number[][] = WEEKDAYS.flatMap(() =>
    Array.from({ length: QUARTERS_PER_DAY }, () => []),
  );
  periods.forEach((period, index) => {
    for (const weekday of WEEKDAYS.filter((each) => holdsOn(period, each))) {
      for (const { from, to } of wallWindows(period.from, period.to)) {
        for (let minute = from; minute < to; minute += QUARTER) {
          week[quarterOfWeek(weekday, minute)]?.push(index);
        }
      }
    }
  });
  return week;
}
