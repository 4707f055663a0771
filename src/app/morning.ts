import { type Calendar, HOUR, type Instant, later } from '../units/index.ts';

const MORNING = 'T07:00Z';
/** A keeper who is up at six does not mean this morning. */
const AT_LEAST = 2 * HOUR;

/** The next seven o’clock of the local clock that is not just about to come. */
export function nextMorning(now: Instant, calendar: Calendar): Instant {
  const today = calendar.dateAt(now);
  const tomorrow = calendar.dateAt(calendar.day(now).to);
  const [first, second] = [today, tomorrow].map(
    (date) => calendar.atWallTime(Date.parse(`${date}${MORNING}`) as Instant).later,
  ) as [Instant, Instant];
  return first >= later(now, AT_LEAST) ? first : second;
}
