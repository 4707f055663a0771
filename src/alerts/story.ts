import type { Instant, Millis } from '../units/index.ts';
import { DAY } from '../units/index.ts';
import type { Severity } from '../watches/index.ts';
import type { Alert } from './alert.ts';
import type { Recipient } from './delivery.ts';
import type { AlertMemory, Trouble } from './memory.ts';
import { isSilenced } from './tending.ts';
import type { Change } from './trouble.ts';

/** What one channel was told of one alert. */
export interface Heard {
  /** The severity it was last told at; null while only held back. */
  readonly told: Severity | null;
  /** When it was last told, or first held back. */
  readonly at: Instant;
  /** Held back by quiet hours; told or counted when they end. */
  readonly held: boolean;
}

/** Who was told what of one alert; kept until everyone who heard of it has heard its end. */
export interface Story {
  /** As it was at its last change that is worth telling. */
  readonly alert: Alert;
  readonly room?: string | undefined;
  readonly tank?: string | undefined;
  /** When it opened, became critical or closed, whichever was last: waits are counted from here. */
  readonly from: Instant;
  readonly heard: Readonly<Record<string, Heard>>;
}

/** Why something is told, held back or counted; logged. */
export type Because =
  | 'opened'
  | 'became-critical'
  | 'closed'
  | 'not-acknowledged-in-time'
  | 'not-acknowledged-yet'
  | 'snooze-over'
  | 'quiet-hours'
  | 'quiet-hours-over'
  | 'settled-in-quiet-hours';

/** What a channel is still to hear. */
export interface Owed {
  readonly change: Change;
  readonly why: Because;
  /** The wait counts from here; a clock set back behind it ends the wait. */
  readonly from: Instant;
  readonly due: Instant;
  /** From here on it goes along with what is told of the same event. */
  readonly joins: Instant;
}

export interface Waits {
  /** How long notices and warnings wait for others of the same event. */
  readonly gather: Millis;
  /** How long after being told a critical alert is told again. */
  readonly repeatEvery: Millis;
}

/** No snooze is longer. */
export const LONGEST_SNOOZE = (7 * DAY) as Millis;

/** Also false for a snooze that a clock set back has moved out of reach. */
export const isSnoozed = ({ snoozedUntil }: Trouble, now: Instant): boolean =>
  snoozedUntil !== undefined && now < snoozedUntil && snoozedUntil - now <= LONGEST_SNOOZE;

/** An alert's failing channel does not hear of its own failure. */
export const isAbout = ({ subject }: Alert, { name }: Recipient): boolean =>
  subject.kind === 'channel' && subject.id === name;

/** What `recipient` is still to hear of an alert, now or later; undefined when it knows enough. */
export function owed(
  story: Story,
  alert: Alert,
  trouble: Trouble | undefined,
  recipient: Recipient,
  { memory, waits, now }: { memory: AlertMemory; waits: Waits; now: Instant },
): Owed | undefined {
  const { from } = story;
  const heard = story.heard[recipient.name];
  const told = heard?.told ?? undefined;
  const critical = alert.severity === 'critical';
  const wait = critical ? 0 : waits.gather;
  if (alert.state === 'closed') {
    if (told === undefined) return undefined;
    return { change: 'closed', why: 'closed', from, due: after(from, wait), joins: from };
  }
  if (alert.state !== 'open' || trouble === undefined || isSnoozed(trouble, now)) return undefined;
  if (isSilenced(memory, alert, story.tank, now) || isAbout(alert, recipient)) return undefined;
  if (!(recipient.severities ?? [alert.severity]).includes(alert.severity)) return undefined;
  if (heard === undefined || told === undefined) {
    const delay = recipient.after ?? 0;
    return {
      change: 'opened',
      why: delay > 0 ? 'not-acknowledged-in-time' : 'opened',
      from,
      due: after(from, Math.max(wait, delay)),
      joins: after(from, delay),
    };
  }
  if (critical && told !== 'critical') {
    return { change: 'worsened', why: 'became-critical', from, due: from, joins: from };
  }
  // While it is quiet on its way to closing, saying that it still goes on would not be true.
  if (trouble.quietFrom !== null) return undefined;
  const { snoozedUntil } = trouble;
  if (snoozedUntil !== undefined && heard.at < snoozedUntil) {
    const due = snoozedUntil;
    return { change: 'repeated', why: 'snooze-over', from: heard.at, due, joins: due };
  }
  if (!critical) return undefined;
  return {
    change: 'repeated',
    why: 'not-acknowledged-yet',
    from: heard.at,
    due: after(heard.at, waits.repeatEvery),
    joins: after(heard.at, waits.repeatEvery / 2),
  };
}

const after = (from: Instant, wait: number): Instant => (from + wait) as Instant;
