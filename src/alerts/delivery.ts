import { type Instant, later, MINUTE, type Millis, SECOND } from '../units/index.ts';
import type { Severity } from '../watches/index.ts';
import type { Alert, Delivery } from './alert.ts';
import type { Telling } from './gather.ts';
import { renderJson } from './render.ts';
import { alertText, tellingText } from './text.ts';
import type { Writer } from './writer.ts';

/**
 * messages: told once per event, grouped; given up after about a day without success.
 * states: one current state per alert, never given up, because the last one has to stand.
 */
export type Takes = 'messages' | 'states';

export interface Recipient {
  /** Unique among channels; part of the delivery's id. No slash. */
  readonly name: string;
  readonly takes: Takes;
  /** What it is told of; all of them where not said. States are never left out. */
  readonly severities?: readonly Severity[];
  /** Escalation: it is told only of what nobody has acknowledged after this time; 0 where not said. */
  readonly after?: Millis;
}

/** How one attempt ended. */
export type Outcome =
  | { readonly kind: 'delivered' }
  /** Worth another attempt; not before `after` where the other side said so. */
  | { readonly kind: 'failed'; readonly why: string; readonly after?: Millis }
  /** Will never be taken. */
  | { readonly kind: 'refused'; readonly why: string };

/** What has to go out for these tellings: one delivery a channel and message, or alert. */
export function deliveriesFor(
  tellings: readonly Telling[],
  channels: readonly Recipient[],
  write: Writer,
  now: Instant,
): Delivery[] {
  return tellings.flatMap((telling) => {
    const { change, alert, also, to, occasion } = telling;
    let message: string | undefined;
    return channels.flatMap(({ name, takes }) => {
      if (to !== undefined && !to.includes(name)) return [];
      if (takes === 'states') {
        return [alert, ...also].map((each) =>
          waiting(each, change, name, stateBody(each, change, write, now), now),
        );
      }
      message ??= renderJson(alert, tellingText(telling, write, now), write, { change, also });
      return [waiting(alert, change, name, message, now, occasion)];
    });
  });
}

/** The JSON of one alert as it stands, for a channel that keeps states. */
export const stateBody = (
  alert: Alert,
  change: Delivery['change'],
  write: Writer,
  now: Instant,
): string => renderJson(alert, alertText(alert, write, now), write, { change });

const waiting = (
  alert: Alert,
  change: Delivery['change'],
  channel: string,
  body: string,
  now: Instant,
  occasion?: Instant,
): Delivery => ({
  id: `${alert.id}/${change}${occasion === undefined ? '' : `-${new Date(occasion).toISOString()}`}/${channel}`,
  alert: alert.id,
  change,
  channel,
  body,
  created: now,
  attempts: 0,
  due: now,
  state: 'waiting',
  lastError: undefined,
});

const FIRST_WAIT = (5 * SECOND) as Millis;
const LONGEST_WAIT = (15 * MINUTE) as Millis;
const LONGEST_ASKED_WAIT = (60 * MINUTE) as Millis;

/** With the waits below, this many attempts fill a day. Counting is immune to a clock that jumps. */
const ATTEMPTS_OF_A_DAY = 103;

/**
 * How long to wait after `attempts` failures (1, 2, …): 5 s, doubling up to 15 min.
 * undefined: a day has passed, give up.
 */
export function nextAttempt(attempts: number): Millis | undefined {
  if (attempts >= ATTEMPTS_OF_A_DAY) return undefined;
  return Math.min(FIRST_WAIT * 2 ** Math.max(0, attempts - 1), LONGEST_WAIT) as Millis;
}

/** A delivery after one more attempt. */
export function settle(delivery: Delivery, outcome: Outcome, now: Instant, takes: Takes): Delivery {
  const attempts = delivery.attempts + 1;
  if (outcome.kind === 'delivered') {
    return { ...delivery, attempts, state: 'delivered', lastError: undefined };
  }
  const lastError = outcome.why;
  if (outcome.kind === 'refused') return { ...delivery, attempts, state: 'given-up', lastError };
  const wait = nextAttempt(attempts) ?? (takes === 'states' ? LONGEST_WAIT : undefined);
  if (wait === undefined) return { ...delivery, attempts, state: 'given-up', lastError };
  const asked = Math.min(outcome.after ?? 0, LONGEST_ASKED_WAIT);
  return { ...delivery, attempts, due: later(now, Math.max(wait, asked)), lastError };
}

/** Due, also when the clock was set back so far that its time would never come. */
export const isDue = ({ due }: Delivery, now: Instant): boolean =>
  due <= now || due - now > LONGEST_ASKED_WAIT;
