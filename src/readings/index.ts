export type { ClimateSlot } from './climate.ts';
export { type ClimateBook, type ClimateOutcome, createClimateBook } from './climate-book.ts';
export { compileFeeds, type FeedBook, type FeedBookOptions } from './feed-book.ts';
export { type GuessOptions, guess } from './guessing/guess.ts';
export type { Confidence, Guess } from './guessing/guessed.ts';
export { type SketchOptions, sketchFeeds } from './guessing/sketch-yaml.ts';
export {
  createSurvey,
  type Observation,
  type Sample,
  type Survey,
  type SurveyOptions,
} from './guessing/survey.ts';
export type { PublishedPrice } from './price-feed.ts';
export { compilePriceFeeds, type DecodedPrices, type PriceFeedBook } from './price-feed-book.ts';
export type {
  Decoded,
  Measure,
  Message,
  Reading,
  Refusal,
  RefusalReason,
} from './reading.ts';
export {
  createRefusalTally,
  type Mention,
  type RefusalCount,
  type RefusalTally,
  type RefusalTallyOptions,
} from './refusal-tally.ts';
