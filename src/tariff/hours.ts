import { MINUTES_PER_DAY, type WallWindow, wallWindow } from '../units/index.ts';
import type { TariffConfig } from './config.ts';

export type TimeOfUse = Extract<TariffConfig['energy'], { kind: 'time-of-use' }>;
export type Period = TimeOfUse['periods'][number];

export const QUARTER = 15;
export const QUARTERS_PER_DAY = MINUTES_PER_DAY / QUARTER;
const QUARTERS_PER_WEEK = 7 * QUARTERS_PER_DAY;

/** Where a moment of the wall clock stands in the week: weekday 1 Monday … 7 Sunday. */
export const quarterOfWeek = (weekday: number, minute: number): number =>
  (weekday - 1) * QUARTERS_PER_DAY + Math.floor(minute / QUARTER);

export const isWeekend = (weekday: number): boolean => weekday >= 6;

function begins(period: Period, weekday: number): boolean {
  if (period.days === 'every-day') return true;
  return isWeekend(weekday) === (period.days === 'weekend');
}

export const windowOf = (period: Period): WallWindow => wallWindow(period.from, period.to);

/**
 * For each quarter-hour of the week, which periods hold (by their place in the list). A period
 * past midnight belongs to the day on which it begins: Friday 22:00–06:00 runs into Saturday.
 * Its limits must stand on quarter-hours.
 */
export function coverage(periods: readonly Period[]): readonly (readonly number[])[] {
  const week: number[][] = Array.from({ length: QUARTERS_PER_WEEK }, () => []);
  periods.forEach((period, index) => {
    const { from, to } = windowOf(period);
    for (let weekday = 1; weekday <= 7; weekday += 1) {
      if (!begins(period, weekday)) continue;
      for (let minute = from; minute < to; minute += QUARTER) {
        week[quarterOfWeek(weekday, minute) % QUARTERS_PER_WEEK]?.push(index);
      }
    }
  });
  return week;
}
