import { Calendar, DAY, type Instant, type LocalSlot } from '../units/index.ts';

/** Longer than any daylight saving lasts, so that the stretches on both sides of it are seen. */
const REACH = 400 * DAY;

/**
 * What a clock of the zone shows that keeps standard time all the year. A stretch of the zone's
 * time is daylight saving when it lies between two with one smaller offset. Where a country calls
 * its winter time the unusual one, this is winter time all the same: law and clock agree there.
 */
export function standardClock(calendar: Calendar): (at: Instant) => LocalSlot {
  const clocks = new Map<number, Calendar>();
  let known: { from: Instant; to: Instant; clock: Calendar } | undefined;
  const clockOf = (offset: number): Calendar => {
    const clock = clocks.get(offset) ?? new Calendar(offsetZone(offset));
    clocks.set(offset, clock);
    return clock;
  };
  return (at) => {
    if (known === undefined || at < known.from || at >= known.to) {
      const { from, to, offset } = standardStretch(calendar, at);
      known = { from, to, clock: clockOf(offset) };
    }
    return known.clock.local(at);
  };
}

function standardStretch(
  calendar: Calendar,
  at: Instant,
): { from: Instant; to: Instant; offset: number } {
  const stretches = calendar.stretches({
    from: (at - REACH) as Instant,
    to: (at + REACH) as Instant,
  });
  const index = stretches.findIndex(({ from, to }) => from <= at && at < to);
  const here = stretches[index];
  if (here === undefined) throw new Error('an instant lies in no stretch of its own zone');
  const before = stretches[index - 1]?.offset;
  const isDaylightSaving =
    before !== undefined && before < here.offset && stretches[index + 1]?.offset === before;
  return { from: here.from, to: here.to, offset: isDaylightSaving ? before : here.offset };
}

/** '-05:00' of an offset in milliseconds. */
function offsetZone(offset: number): string {
  const minutes = Math.round(Math.abs(offset) / 60_000);
  const two = (value: number): string => String(value).padStart(2, '0');
  return `${offset < 0 ? '-' : '+'}${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
}
