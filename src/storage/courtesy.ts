/**
 * Who finds the store locked asks again after a while, in the end every 100 ms, and may never hit
 * upon the moment between two transactions of a command that writes one after another. So the
 * command pauses for longer than that, now and then.
 */
export interface Courtesy {
  /** To be called before each transaction that writes. May block for a tenth of a second. */
  before(): void;
  after(): void;
}

/** How time passes, in ms. */
export interface Pace {
  now(): number;
  /** Blocks the thread. */
  pause(length: number): void;
}

/** Writing that goes on for longer is interrupted, ms. */
export const BURST = 200;
export const PAUSE = 110;

function machinePace(): Pace {
  const nothing = new Int32Array(new SharedArrayBuffer(Int32Array.BYTES_PER_ELEMENT));
  return {
    now: () => performance.now(),
    pause: (length) => void Atomics.wait(nothing, 0, 0, length),
  };
}

export function courtesy(pace: Pace = machinePace()): Courtesy {
  let begun = Number.NEGATIVE_INFINITY;
  let ended = Number.NEGATIVE_INFINITY;
  return {
    before() {
      const now = pace.now();
      if (now - ended >= PAUSE) {
        begun = now;
      } else if (now - begun > BURST) {
        pace.pause(PAUSE);
        begun = pace.now();
      }
    },
    after() {
      ended = pace.now();
    },
  };
}
