export type { ClimateSlot } from './climate.ts';
export { compileFeeds, type FeedBook, type FeedBookOptions } from './feed-book.ts';
export type {
  Decoded,
  Measure,
  Message,
  Reading,
  Refusal,
  RefusalReason,
} from './reading.ts';
