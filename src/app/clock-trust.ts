import { DAY, HOUR, type Instant, MINUTE } from '../units/index.ts';

/** The longest outage that is caught up without a doubt. */
const REACH = 31 * DAY;
/** A clock that nobody sets for so long is right, or will never be. */
const STANDS = HOUR;
/** With nothing to compare it with, at the very first start: long enough to be set by then. */
const STANDS_AT_FIRST = 15 * MINUTE;
/** Moments farther apart than this belong to a clock that was set between them. */
const SAME_CLOCK = 15 * MINUTE;

/** Whether `now` is fit to go on from where something stood last. */
export interface ClockTrust {
  /**
   * From when to go on at `now` with what stood at `stood`, or begins for the first time;
   * undefined while the clock is in doubt.
   */
  from(id: string, stood: Instant | undefined, now: Instant): Instant | undefined;
}

/**
 * A machine without a clock chip, or with an empty battery, may start years off, and be set right
 * within minutes. Going on over such a jump would book years of energy that nobody drew; and what
 * stands in the future would wait until that time comes. So a jump of more than a month, to either
 * side, is not believed at once. If the clock is set back meanwhile, all goes on as if nothing had
 * been. If it stands for an hour, it is the time: then it goes on from the beginning of that hour,
 * and what lies between stays unknown. What begins for the first time begins at once where anything
 * else that is known stands near; otherwise it waits in the same way, at the very first start for a
 * quarter of an hour, and begins with the beginning of that wait. Smaller errors cancel out by themselves: what a clock that
 * ran ahead has booked too early is not booked again.
 */
export function createClockTrust(known: readonly Instant[]): ClockTrust {
  const doubts = new Map<string, { readonly since: Instant; last: Instant }>();
  /** When the clock was believed last; until then, what was known at the start. */
  let witnesses = known;
  const isNear = (now: Instant) => (other: Instant) => Math.abs(other - now) <= REACH;

  return {
    from(id, stood, now) {
      const believed = stood === undefined ? witnesses.some(isNear(now)) : isNear(now)(stood);
      if (believed) {
        doubts.delete(id);
        witnesses = [now];
        return stood ?? now;
      }
      const doubt = doubts.get(id);
      if (doubt === undefined || Math.abs(now - doubt.last) > SAME_CLOCK) {
        doubts.set(id, { since: now, last: now });
        return undefined;
      }
      doubt.last = now;
      const isFirst = stood === undefined && witnesses.length === 0;
      if (now - doubt.since < (isFirst ? STANDS_AT_FIRST : STANDS)) return undefined;
      doubts.delete(id);
      return doubt.since;
    },
  };
}
