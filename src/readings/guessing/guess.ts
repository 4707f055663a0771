import type { FeedBook } from '../feed-book.ts';
import { powersBesideCounters, unitByPower } from './counter-unit.ts';
import type { Unit } from './name-hints.ts';
import { shapeOf } from './series-shape.ts';
import type { Observation } from './survey.ts';
import { byNumbers, byWords } from './verdict.ts';

/** How much a guess rests on. Only what is at least likely goes into a sketch. */
export type Confidence = 'sure' | 'likely' | 'maybe';

/** What a number on the broker probably is. */
export interface Guess {
  readonly topic: string;
  /** JSON Pointer, or undefined for the bare payload. */
  readonly at: string | undefined;
  readonly is:
    | 'power'
    | 'counter'
    | 'temperature'
    | 'humidity'
    | 'presence'
    | 'not-billed'
    | 'unclear';
  /** For what is not billed: what it is, such as 'a voltage'. */
  readonly what: string | undefined;
  /** Undefined where none fits. */
  readonly unit: Unit | undefined;
  readonly confidence: Confidence;
  readonly reasons: readonly string[];
  /** A counter that falls to zero each midnight is told from one that goes on. */
  readonly restarts: 'never' | 'at-midnight';
  /** Values seen by which a sensor says that it is broken. */
  readonly sentinels: readonly number[];
  readonly decimalComma: boolean;
  /** The last number seen. */
  readonly last: number | undefined;
  /** Feeds of the running config that read this topic; empty where no feed claims it. */
  readonly claimedBy: readonly string[];
}

export interface GuessOptions {
  /** IANA zone in which midnight is looked for. */
  readonly zone?: string;
  /** The feeds that exist already. */
  readonly book?: Pick<FeedBook, 'feedsOf'>;
}

/** Guesses what every observed number is, from its names, its range and how it moves. */
export function guess(observations: readonly Observation[], options: GuessOptions = {}): Guess[] {
  const { zone = 'UTC', book } = options;
  const seen = observations.map((observation) => {
    const shape = shapeOf(observation.samples, zone);
    return {
      observation,
      shape,
      verdict: shape ? byNumbers(observation, shape) : byWords(observation),
    };
  });
  const powers = powersBesideCounters(seen);
  return seen.map(({ observation, shape, verdict }): Guess => {
    const { topic, at, decimalComma } = observation;
    const checked =
      verdict.is === 'counter' && shape !== undefined
        ? unitByPower(verdict, shape, powers(observation))
        : verdict;
    return {
      what: undefined,
      restarts: 'never',
      sentinels: [],
      ...checked,
      topic,
      at,
      decimalComma,
      last: shape?.last.value,
      claimedBy: book?.feedsOf(topic) ?? [],
    };
  });
}
