import type { Calendar, Instant, LocalDate, Span } from '../../units/index.ts';

/** A night: what a tank's heaters draw in it is forecast, and scored. */
export interface Night extends Span {
  /** From here on it is looked ahead to, while something can still be done. */
  readonly evening: Instant;
}

const EVENING = 'T17:00Z';
const BEGINS = 'T21:00Z';
const ENDS = 'T07:00Z';

/** The night that begins on a local date: nine to eleven hours, as the clock makes them. */
export function nightOn(date: LocalDate, calendar: Calendar): Night {
  const at = (day: LocalDate, wall: string): Instant =>
    calendar.atWallTime(Date.parse(`${day}${wall}`) as Instant).later;
  const next = calendar.dateAt(calendar.dayOf(date).to);
  return { evening: at(date, EVENING), from: at(date, BEGINS), to: at(next, ENDS) };
}

/** The local date before. */
export const dateBefore = (date: LocalDate, calendar: Calendar): LocalDate =>
  calendar.dateAt((calendar.dayOf(date).from - 1) as Instant);

/** The night to come or under way; undefined by day. */
export function nightAround(now: Instant, calendar: Calendar): Night | undefined {
  const today = calendar.dateAt(now);
  const night = nightOn(today, calendar);
  if (now >= night.evening) return night;
  const last = nightOn(dateBefore(today, calendar), calendar);
  return now < last.to ? last : undefined;
}
