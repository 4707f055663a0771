import type { Instant } from '../units/index.ts';

/** What a reading measures, with the unit of `value`. */
export type Measure =
  | 'power' // W, negative when a bidirectional plug sends energy back
  | 'counter' // Wh since the counter's own start
  | 'voltage' // V, of the mains at the plug: what a resistive load draws goes with its square
  | 'temperature' // °C
  | 'humidity' // % relative
  | 'presence'; // 1 the source is on the air, 0 it has gone (availability topic or last will)

/** One decoded value from the broker. */
export interface Reading {
  readonly from: 'plug' | 'probe';
  /** Id of the plug or probe. */
  readonly id: string;
  readonly measure: Measure;
  /** Of a counter, where a plug has several: which of them. */
  readonly register?: string;
  readonly value: number;
  /** The payload's own time where the feed names one and it was sane, else the arrival. */
  readonly at: Instant;
  readonly arrived: Instant;
  /** The broker kept it from before: it never stands for 'now'. */
  readonly retained: boolean;
}

/** Why a value was not taken. The words are stored, counted and shown: keep them stable. */
export type RefusalReason =
  | 'unclaimed-topic' // no feed's filter matches
  | 'unknown-source' // the topic names a plug or probe that the config does not have
  | 'not-json' // the feed has a pointer, the payload is no JSON
  | 'nothing-there' // the pointer leads nowhere
  | 'not-a-number' // not a number, and not one of the feed's words for 'no value'
  | 'no-value' // null or a word such as 'unavailable'
  | 'sentinel' // a value by which a sensor says that it is broken
  | 'implausible' // outside the feed's plausible range
  | 'bad-time' // the feed's timestamp cannot be read
  | 'from-the-future' // stamped more than two minutes ahead
  | 'stale-retained' // a retained power, voltage, temperature or humidity
  | 'too-large' // payload beyond the size limit
  | 'not-a-list' // a price feed's list is none
  | 'too-many' // more prices in one message than any market sends
  | 'bad-span' // a price that does not begin and end on quarter-hours, one after the other
  | 'contradicted'; // another price of the same message holds in the same time

export interface Refusal {
  readonly reason: RefusalReason;
  readonly topic: string;
  /** The feed that matched, where one did. */
  readonly feed: string | undefined;
  readonly measure: Measure | undefined;
  /** The source, where it was known. */
  readonly source: { readonly from: 'plug' | 'probe'; readonly id: string } | undefined;
  /** What was found, cut to 120 characters, control characters replaced. */
  readonly found: string;
  readonly at: Instant;
}

/** A message as the broker delivered it. */
export interface Message {
  readonly topic: string;
  readonly payload: Uint8Array;
  readonly retained: boolean;
  readonly arrived: Instant;
}

export interface Decoded {
  readonly readings: readonly Reading[];
  readonly refusals: readonly Refusal[];
}
