import { type Clock, type Instant, later, MINUTE, type Millis } from '../../units/index.ts';

/** The watches look this often in replayed weeks. */
const LOOK_EVERY = (10 * MINUTE) as Millis;

/**
 * The demo's clock. While weeks are replayed it shows, to whoever asks on taking in a message, the
 * simulated moment at which that message was sent; afterward it is the machine's clock.
 */
export interface DemoClock extends Clock {
  /** The next `messages` messages will be of this moment. */
  sending(at: Instant, messages: number): void;
  /** A message has been taken in. True when the replayed clock has come to the next look. */
  taken(): boolean;
  /** Nothing is on its way: it is this late now. */
  arrived(at: Instant): void;
  goLive(): void;
}

export function createDemoClock(start: Instant, machine: Clock): DemoClock {
  const sent: { at: Instant; left: number }[] = [];
  let at = start;
  let nextLook = start;
  let live = false;
  return {
    now: () => (live ? machine.now() : (sent[0]?.at ?? at)),
    monotonic: () => machine.monotonic() as Millis,
    sending(moment, messages) {
      if (messages > 0) sent.push({ at: moment, left: messages });
    },
    taken() {
      const first = sent[0];
      if (first === undefined) return false;
      first.left -= 1;
      at = first.at;
      if (first.left === 0) sent.shift();
      if (at < nextLook) return false;
      nextLook = later(at, LOOK_EVERY);
      return true;
    },
    arrived(moment) {
      at = moment;
    },
    goLive() {
      live = true;
    },
  };
}
