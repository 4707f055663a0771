import type { Calendar, Instant } from '../units/index.ts';
import { coverage, DAY_TYPES, type DayType, QUARTER, type TimeOfUse } from './hours.ts';
import type { Rate } from './rate.ts';
import { seasonFinder } from './seasons.ts';
import { standardClock } from './standard-clock.ts';

/**
 * Which rate holds in the slot that holds an instant. All that can be known beforehand is looked up
 * once for each kind of day. Only for hours in which `tariffProblems` finds nothing.
 */
export function timetable(
  energy: TimeOfUse,
  rates: ReadonlyMap<string, Rate>,
  calendar: Calendar,
): (at: Instant) => Rate | undefined {
  const clock =
    energy.clock === 'standard' ? standardClock(calendar) : (at: Instant) => calendar.local(at);
  const rowOf = rowFinder(energy, rates);
  let shown = '';
  let row: readonly (Rate | undefined)[] = [];
  return (at) => {
    const { date, weekday, minute } = clock(at);
    if (date !== shown) {
      row = rowOf(date, weekday);
      shown = date;
    }
    return row[Math.floor(minute / QUARTER)];
  };
}

/** The rates of a day's quarter-hours, by its date and weekday. */
function rowFinder(
  energy: TimeOfUse,
  rates: ReadonlyMap<string, Rate>,
): (date: string, weekday: number) => readonly (Rate | undefined)[] {
  const { periods, seasons, holidays } = energy;
  const seasonOf = seasonFinder(seasons);
  const holidayDates = new Set<string>(holidays?.dates);
  const onHolidays: DayType = holidays?.like === 'own' ? 'holiday' : (holidays?.like ?? 'sunday');
  const rows = new Map<string, readonly (Rate | undefined)[]>();
  return (date, weekday) => {
    const season = seasonOf(date);
    const day = holidayDates.has(date) ? onHolidays : (DAY_TYPES[weekday - 1] as DayType);
    const kind = `${season} ${day}`;
    let row = rows.get(kind);
    if (row === undefined) {
      row = coverage(periods, season, day).map(([holding = -1]) =>
        rates.get(periods[holding]?.rate ?? ''),
      );
      rows.set(kind, row);
    }
    return row;
  };
}
