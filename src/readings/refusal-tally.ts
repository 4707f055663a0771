import { type Instant, MINUTE } from '../units/index.ts';
import type { Refusal, RefusalReason } from './reading.ts';

/** Refusals of one reason, feed and source, added up. */
export interface RefusalCount {
  readonly reason: RefusalReason;
  readonly feed: string | undefined;
  readonly source: Refusal['source'];
  readonly count: number;
  readonly first: Instant;
  readonly last: Instant;
  /** Topic of the last one, and what was found there. */
  readonly topic: string;
  readonly found: string;
}

/** Whether a refusal is worth a line in the log, and how many like it went without since. */
export type Mention =
  | { readonly worthLogging: true; readonly unmentioned: number }
  | { readonly worthLogging: false };

export interface RefusalTally {
  /** Counts a refusal. `now` decides about logging only; the count is dated by the refusal. */
  note(refusal: Refusal, now: Instant): Mention;
  counts(): RefusalCount[];
  total(): number;
}

export interface RefusalTallyOptions {
  /** Kinds told apart; further ones are counted by their reason alone. */
  readonly kinds?: number;
  /** One kind is worth logging once in this time, ms. */
  readonly quiet?: number;
}

interface Tally {
  reason: RefusalReason;
  feed: string | undefined;
  source: Refusal['source'];
  count: number;
  first: Instant;
  last: Instant;
  topic: string;
  found: string;
  mentionedAt: Instant;
  unmentioned: number;
}

const SILENT: Mention = { worthLogging: false };

/** A faulty plug may refuse thousands of times an hour: its log stays short, its count complete. */
export function createRefusalTally(options: RefusalTallyOptions = {}): RefusalTally {
  const { kinds = 1000, quiet = MINUTE } = options;
  const tallies = new Map<string, Tally>();
  const overflow = new Map<RefusalReason, Tally>();
  let total = 0;

  /** The tally that a refusal counts in; undefined when it opens a new one. */
  const tallyOf = (refusal: Refusal, key: string): Tally | undefined =>
    tallies.get(key) ?? (tallies.size < kinds ? undefined : overflow.get(refusal.reason));

  function open(refusal: Refusal, key: string, now: Instant): void {
    const { reason, topic, found, at } = refusal;
    const begun = { reason, count: 1, first: at, last: at, topic, found };
    const mention = { mentionedAt: now, unmentioned: 0 };
    if (tallies.size < kinds) {
      tallies.set(key, { ...begun, ...mention, feed: refusal.feed, source: refusal.source });
    } else {
      overflow.set(reason, { ...begun, ...mention, feed: undefined, source: undefined });
    }
  }

  return {
    note(refusal, now) {
      total += 1;
      const key = keyOf(refusal);
      const tally = tallyOf(refusal, key);
      if (tally === undefined) {
        open(refusal, key, now);
        return { worthLogging: true, unmentioned: 0 };
      }
      tally.count += 1;
      tally.last = refusal.at;
      tally.topic = refusal.topic;
      tally.found = refusal.found;
      const since = now - tally.mentionedAt;
      // A clock set back must not silence the log until it has caught up.
      if (since >= 0 && since < quiet) {
        tally.unmentioned += 1;
        return SILENT;
      }
      const { unmentioned } = tally;
      tally.mentionedAt = now;
      tally.unmentioned = 0;
      return { worthLogging: true, unmentioned };
    },
    counts: () =>
      [...tallies.values(), ...overflow.values()].map(
        ({ mentionedAt: _, unmentioned: __, ...count }) => count,
      ),
    total: () => total,
  };
}

/** Reasons, feeds and sources hold no blanks, so that the parts cannot run into each other. */
const keyOf = ({ reason, feed, source }: Refusal): string =>
  `${reason} ${feed ?? ''} ${source?.from ?? ''} ${source?.id ?? ''}`;
