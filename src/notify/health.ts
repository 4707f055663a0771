import type { Delivery } from '../alerts/index.ts';
import { type Clock, HOUR, type Instant, MINUTE, type Millis } from '../units/index.ts';
import type { Attempt } from './channel.ts';

/** How a channel has fared. */
export interface ChannelHealth {
  readonly channel: string;
  /** untried: nothing was sent since the start, and nothing waits that had failed before it. */
  readonly state: 'untried' | 'ok' | 'failing';
  /** Since when it is in this state. */
  readonly since: Instant;
  /** Failed attempts in a row. */
  readonly failures: number;
  readonly lastError: string | undefined;
  /** Messages that were given up since the start; nobody was told of them here. */
  readonly givenUp: number;
  /** Failing for so long, so often or in such a way that the keeper should hear of it elsewhere. */
  readonly isDown: boolean;
}

const DOWN_AFTER = (10 * MINUTE) as Millis;
const DOWN_AFTER_FAILURES = 3;
/** From the third failure in a row: a wrong password tried every second locks an account. */
const REST = MINUTE;
/** However long the other side asks for. */
const LONGEST_REST = HOUR;

export interface Pulse {
  note(attempt: Attempt): void;
  gaveUp(): void;
  /** It was down before the attempt that was noted last, and is not any more. */
  readonly recovered: boolean;
  /** Nothing should be tried now. */
  readonly resting: boolean;
  health(): ChannelHealth;
}

/**
 * Takes a channel's pulse. `waiting` are its messages from before the start: those that failed say
 * since when it has been failing.
 */
export function takePulse(channel: string, waiting: readonly Delivery[], clock: Clock): Pulse {
  const failed = waiting.filter(({ attempts }) => attempts > 0);
  let state: ChannelHealth['state'] = failed.length > 0 ? 'failing' : 'untried';
  let since = Math.min(clock.now(), ...failed.map(({ created }) => created)) as Instant;
  let failures = Math.max(0, ...failed.map(({ attempts }) => attempts));
  let lastError = failed.at(-1)?.lastError;
  let permanent = false;
  let givenUp = 0;
  let recovered = false;
  let restUntil = clock.monotonic();

  const isDown = (): boolean =>
    state === 'failing' &&
    (permanent || failures >= DOWN_AFTER_FAILURES || clock.now() - since >= DOWN_AFTER);

  return {
    note(attempt) {
      const wasDown = isDown();
      const next = attempt.kind === 'delivered' ? 'ok' : 'failing';
      if (next !== state) since = clock.now();
      state = next;
      recovered = wasDown && next === 'ok';
      if (attempt.kind === 'delivered') {
        failures = 0;
        lastError = undefined;
        permanent = false;
        restUntil = clock.monotonic();
        return;
      }
      failures += 1;
      lastError = attempt.why;
      permanent = attempt.kind === 'refused' || attempt.permanent === true;
      if (attempt.kind === 'refused') return;
      const rest = permanent || failures >= DOWN_AFTER_FAILURES ? REST : 0;
      restUntil = (clock.monotonic() +
        Math.max(rest, Math.min(attempt.after ?? 0, LONGEST_REST))) as Millis;
    },
    gaveUp() {
      givenUp += 1;
    },
    get recovered() {
      return recovered;
    },
    get resting() {
      return clock.monotonic() < restUntil;
    },
    health: () => ({ channel, state, since, failures, lastError, givenUp, isDown: isDown() }),
  };
}
