import { type Clock, type Instant, MINUTE, type Millis } from '../units/index.ts';

/** A wall-clock difference beyond this is a step, not drift. */
const STEP = 2_000;

export interface SteppingClock extends Clock {
  /** Called when the machine's clock was set: `by` is positive when it went forward. */
  onStep(listener: (by: Millis, before: Instant) => void): void;
}

/**
 * The machine's wall clock, carried on by its monotonic clock, so that no two moments a second apart
 * are ever told to be hours apart without the listeners knowing. Between steps it follows small
 * corrections both ways and never runs backward: corrected back, it stands until it is caught up.
 */
export function createSystemClock(
  wall: () => number = Date.now,
  ticks: () => number = () => performance.now(),
): SteppingClock {
  const listeners: ((by: Millis, before: Instant) => void)[] = [];
  let offset = wall() - ticks();
  let last = Number.NEGATIVE_INFINITY;

  function now(): Instant {
    const elapsed = ticks();
    const drift = wall() - elapsed - offset;
    const before = Math.floor(elapsed + offset);
    offset += drift;
    const moment = Math.floor(elapsed + offset);
    if (Math.abs(drift) <= STEP) {
      last = Math.max(last, moment);
      return last as Instant;
    }
    const unstepped = Math.max(last, before) as Instant;
    last = moment;
    for (const listener of listeners) listener(drift as Millis, unstepped);
    return moment as Instant;
  }

  return {
    now,
    monotonic: () => ticks() as Millis,
    onStep: (listener) => {
      listeners.push(listener);
    },
  };
}

/** Only a step this large can book energy that never flowed. */
export const STEP_WORTH_ACTING_ON: Millis = MINUTE;
