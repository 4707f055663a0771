import type { Clock, Instant, Millis } from '../../units/index.ts';

/**
 * The demo's clock. While weeks are replayed it shows, to whoever asks on taking in a message, the
 * simulated moment at which that message was sent; afterward it is the machine's clock.
 */
export interface DemoClock extends Clock {
  /** The next `messages` messages will be of this moment. */
  sending(at: Instant, messages: number): void;
  /** A message has been taken in. */
  taken(): void;
  /** Nothing is on its way: it is this late now. */
  arrived(at: Instant): void;
  goLive(): void;
}

export function createDemoClock(start: Instant, machine: Clock): DemoClock {
  const sent: { at: Instant; left: number }[] = [];
  let at = start;
  let live = false;
  return {
    now: () => (live ? machine.now() : (sent[0]?.at ?? at)),
    monotonic: () => machine.monotonic() as Millis,
    sending(moment, messages) {
      if (messages > 0) sent.push({ at: moment, left: messages });
    },
    taken() {
      const first = sent[0];
      if (first === undefined) return;
      first.left -= 1;
      at = first.at;
      if (first.left === 0) sent.shift();
    },
    arrived(moment) {
      at = moment;
    },
    goLive() {
      live = true;
    },
  };
}
