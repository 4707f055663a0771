import { HOUR, type Instant, MINUTE } from '../../units/index.ts';
import type { Evidence, Subject } from '../../watches/index.ts';
import type { Alert } from '../alert.ts';
import type { Caution } from '../cautions.ts';
import type { Writer } from '../writer.ts';
import { unwatchedLines } from './unwatched.ts';

/** One alert about to be put into words. */
export interface Told {
  readonly alert: Alert;
  readonly now: Instant;
  readonly write: Writer;
  /** The subject's name. */
  readonly subject: string;
  /** What the subject belongs to, by name. */
  readonly place: string | undefined;
  /** 'The water', or 'The air in the tank' where there is none. */
  readonly medium: string;
  readonly dry: boolean;
  /** Evidence by its first known word; what was read gets no line of its own any more. */
  read(...words: readonly string[]): Evidence | undefined;
  /** All evidence of this word, as of several tanks; it gets no line of its own any more. */
  readAll(word: string): readonly Evidence[];
  /** What no sentence has read so far. */
  unread(): readonly Evidence[];
}

/** The words of one watch. Sentences are short: they are read at 3 a.m. */
export interface WatchWords {
  /** Without the subject's name, which follows after a colon. */
  title(told: Told): string;
  what(told: Told): string;
  /** Sentences with the numbers; evidence not read here is listed after them. */
  evidence(told: Told): (string | undefined)[];
  todo(told: Told): (string | undefined)[];
  readonly cautions: readonly Caution[];
  /** What to check once it is over. */
  after(told: Told): string[];
}

/** Picks the wording that is as sure as the finding. */
export function asSure(
  { alert }: Told,
  words: { readonly certain: string; readonly likely: string; readonly possible: string },
): string {
  return words[alert.confidence];
}

/** A value in the keeper's units, or undefined where the evidence lacks it. */
export function worded(told: Told, ...words: readonly string[]): string | undefined {
  const evidence = told.read(...words);
  return evidence && told.write.value(evidence);
}

/** What goes unnoticed meanwhile, where the alert is of a plug or a probe. */
export const unwatched = ({ alert: { subject }, write }: Told, until: string): string[] =>
  subject.kind === 'channel' ? [] : unwatchedLines(write, [subject], until);

/** Joins what is there into one sentence; undefined when nothing is. */
export function sentence(...parts: readonly (string | undefined)[]): string | undefined {
  const present = parts.filter((part) => part !== undefined);
  return present.length === 0 ? undefined : `${present.join('; ')}.`;
}

/** How long the animals have, where the watch could reckon it. */
export function timeLeft(told: Told, side: 'max' | 'min'): string | undefined {
  const left = told.read(`time-to-kept-${side}`);
  if (left === undefined || !Number.isFinite(left.value)) return undefined;
  const limit = worded(told, `kept-${side}`);
  const name = side === 'max' ? 'the kept maximum' : 'the kept minimum';
  const edge = limit === undefined ? name : `${name} of ${limit}`;
  if (left.value <= 0) return `It is already past ${edge}.`;
  return `If this goes on, it passes ${edge} in about ${reckonedTime(told, left)}.`;
}

/** What draws now and what does not, by name; what is not named is not known. */
export function drawing(told: Told): string | undefined {
  const all = told.readAll('draws');
  const named = ({ subject }: Evidence): string =>
    subject === undefined ? told.subject : told.write.name(subject);
  const on = all.filter(({ value }) => value >= DRAWS_FROM);
  const off = all.filter(({ value }) => value < DRAWS_FROM);
  const list = (words: string, of: readonly string[]): string | undefined =>
    of.length === 0 ? undefined : `${words}: ${of.join(', ')}`;
  return sentence(
    list(
      'Drawing now',
      on.map((it) => `${named(it)} (${told.write.value(it)})`),
    ),
    list(on.length === 0 ? 'Drawing nothing' : 'drawing nothing', off.map(named)),
  );
}

/** Less is a plug's own rounding, W. */
const DRAWS_FROM = 1;

/** When the kept range is reached again, where that could be reckoned. */
export function timeBack(told: Told, given: string): string | undefined {
  const back = told.read('time-to-be-back');
  if (back === undefined || !(back.value > 0)) return undefined;
  return `${given} it is back in its range in about ${reckonedTime(told, back)}.`;
}

/** A time to come, with its band where it was learned, and how it is known. */
export function reckonedTime(told: Told, { value, low, high, subject }: Evidence): string {
  const write = (ms: number, round = Math.floor) => told.write.length(coarse(ms, round));
  const known = knownBy(told, subject);
  if (low === undefined) return `${write(value)} (${known})`;
  const band =
    high === undefined
      ? `${write(low)} at the soonest`
      : `${write(low)} to ${write(high, Math.ceil)}`;
  return `${write(value)} (${known}: ${band})`;
}

/** How what is reckoned of a tank's heat is known. */
export function knownBy(told: Told, subject?: Subject): string {
  const learned = told
    .readAll('learned-over')
    .find((evidence) => evidence.subject?.id === subject?.id);
  return learned === undefined
    ? 'reckoned from its size'
    : `as learned over ${told.write.value(learned)}`;
}

/** A reckoned time to the precision it deserves. */
function coarse(ms: number, round: (steps: number) => number): number {
  const step = ms < HOUR ? 5 * MINUTE : ms < 10 * HOUR ? 10 * MINUTE : HOUR;
  return Math.max(step, round(ms / step) * step);
}
