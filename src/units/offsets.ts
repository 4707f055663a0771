import { Temporal } from 'temporal-polyfill';
import type { Instant, Millis } from './quantities.ts';

/** A stretch of time over which a zone keeps one offset from UTC. */
export interface OffsetStretch {
  readonly from: Instant;
  readonly to: Instant;
  /** Local wall time minus UTC. */
  readonly offset: Millis;
}

/** Where time begins and ends for Temporal: stands in for 'no change before' and 'no change after'. */
const FIRST = -8.64e15 as Instant;
const LAST = 8.64e15 as Instant;

/**
 * Finds the stretch that holds an instant. Asking the zone's rules takes tens of microseconds and
 * books ask for every slot of a year, so each stretch is looked up once; a zone has a hundred or
 * so in a century.
 */
export function offsetStretches(zone: string): (at: Instant) => OffsetStretch {
  const known: OffsetStretch[] = [];
  let last: OffsetStretch | undefined;
  return (at) => {
    if (last !== undefined && at >= last.from && at < last.to) return last;
    last = known.find(({ from, to }) => at >= from && at < to);
    if (last === undefined) {
      last = lookUp(zone, at);
      known.push(last);
    }
    return last;
  };
}

function lookUp(zone: string, at: Instant): OffsetStretch {
  const zoned = Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(zone);
  // 'previous' looks strictly before; a change at this very instant begins its stretch.
  const previous = zoned.add({ milliseconds: 1 }).getTimeZoneTransition('previous');
  const next = zoned.getTimeZoneTransition('next');
  return {
    from: (previous?.epochMilliseconds ?? FIRST) as Instant,
    to: (next?.epochMilliseconds ?? LAST) as Instant,
    offset: (zoned.offsetNanoseconds / 1e6) as Millis,
  };
}
