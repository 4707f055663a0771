import { MINUTES_PER_DAY, wallWindows } from '../units/index.ts';
import type { TariffConfig } from './config.ts';

export type TimeOfUse = Extract<TariffConfig['energy'], { kind: 'time-of-use' }>;
export type Period = TimeOfUse['periods'][number];

/** Rates change on quarter-hours of the wall clock, as slots do in every zone of today. */
export const QUARTER = 15;
export const QUARTERS_PER_DAY = MINUTES_PER_DAY / QUARTER;

/** ISO weekdays, Monday first, then a holiday that is like none of them. */
export const DAY_TYPES = [
  ...(['monday', 'tuesday', 'wednesday', 'thursday'] as const),
  ...(['friday', 'saturday', 'sunday', 'holiday'] as const),
] as const;

export type DayType = (typeof DAY_TYPES)[number];

const WEEKEND: readonly DayType[] = ['saturday', 'sunday'];

/** Whether a period with such days holds on such a day; 'every-day' is every holiday, too. */
export function holdsOn(days: Period['days'], day: DayType): boolean {
  if (days === 'every-day') return true;
  if (typeof days !== 'string') return days.includes(day);
  return day !== 'holiday' && WEEKEND.includes(day) === (days === 'weekend');
}

/**
 * For each quarter-hour of a day, which periods hold (by their place in the list). Each day stands
 * alone: a weekday period from 22:00 to 06:00 is the early and the late hours of Monday to Friday,
 * and Saturday before 06:00 is the weekend's. Limits must stand on quarter-hours.
 */
export function coverage(
  periods: readonly Period[],
  season: string,
  day: DayType,
): readonly (readonly number[])[] {
  const quarters = Array.from({ length: QUARTERS_PER_DAY }, (): number[] => []);
  periods.forEach((period, index) => {
    if (period.season !== undefined && period.season !== season) return;
    if (!holdsOn(period.days, day)) return;
    for (const { from, to } of wallWindows(period.from, period.to)) {
      for (let minute = from; minute < to; minute += QUARTER) {
        quarters[minute / QUARTER]?.push(index);
      }
    }
  });
  return quarters;
}
