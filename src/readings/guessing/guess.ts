import type { FeedBook } from '../feed-book.ts';
import type { Guess } from './guessed.ts';
import { followNeighbors } from './neighbors.ts';
import { comparePairs } from './power-pairs.ts';
import type { Seen } from './seen.ts';
import { shapeOf } from './series-shape.ts';
import type { Observation } from './survey.ts';
import { byNumbers, byWords } from './verdict.ts';

export interface GuessOptions {
  /** IANA zone in which midnight is looked for. */
  readonly zone?: string;
  /** The feeds that exist already. */
  readonly book?: Pick<FeedBook, 'feedsOf'>;
}

/** Guesses what every observed number is, from its names, its range and how it moves. */
export function guess(observations: readonly Observation[], options: GuessOptions = {}): Guess[] {
  const { zone = 'UTC', book } = options;
  const alone = observations.map((observation): Seen => {
    const shape = shapeOf(observation.samples, zone);
    const verdict = shape === undefined ? byWords(observation) : byNumbers(observation, shape);
    return { observation, shape, verdict };
  });
  return followNeighbors(comparePairs(alone)).map(({ observation, shape, verdict }): Guess => {
    const { topic, at, decimalComma } = observation;
    const { is, what, unit, confidence, reasons, restarts = 'never', sentinels = [] } = verdict;
    return {
      topic,
      at,
      is,
      what,
      unit,
      confidence,
      reasons,
      restarts,
      sentinels,
      words: verdict.words ?? { on: [], off: [] },
      decimalComma,
      last: shape?.last.value,
      claimedBy: book?.feedsOf(topic) ?? [],
    };
  });
}
