import { type Clock, type Instant, MINUTE, type Millis } from '../units/index.ts';

/** A wall-clock difference beyond this is a step, not drift. */
const STEP = 2_000;

export interface SteppingClock extends Clock {
  /** Called when the machine's clock was set: `by` is positive when it went forward. */
  onStep(listener: (by: Millis, before: Instant) => void): void;
}

/**
 * The machine's wall clock, carried on by its monotonic clock between steps, so that no two
 * moments a second apart are ever told to be hours apart without the listeners knowing.
 */
export function createSystemClock(
  wall: () => number = Date.now,
  ticks: () => number = () => performance.now(),
): SteppingClock {
  const listeners: ((by: Millis, before: Instant) => void)[] = [];
  let offset = wall() - ticks();
  const check = (): number => {
    const elapsed = ticks();
    const drift = wall() - elapsed - offset;
    if (Math.abs(drift) > STEP) {
      const before = (elapsed + offset) as Instant;
      offset += drift;
      for (const listener of listeners) listener(drift as Millis, before);
    } else {
      // Follow small corrections, but never run backward.
      offset += Math.max(drift, 0);
    }
    return Math.floor(elapsed + offset);
  };
  return {
    now: () => check() as Instant,
    monotonic: () => ticks() as Millis,
    onStep: (listener) => {
      listeners.push(listener);
    },
  };
}

/** Only a step this large can book energy that never flowed. */
export const STEP_WORTH_ACTING_ON: Millis = MINUTE;
