import type { Posting } from '../metering/index.ts';
import type { SlotPrice } from '../tariff/index.ts';
import type { Instant, Span } from '../units/index.ts';
import type { Correction } from './correction.ts';
import type { HouseInterval } from './house.ts';

/** Energy to add to one device's slot. */
export interface DevicePosting extends Posting {
  /** A device, or the strip that feeds several: see `stripOf`. */
  readonly device: string;
}

/**
 * Energy booked for one device in one slot, one row per way of knowing it. The sum of all postings
 * to (slot, device, known).
 */
export type Entry = DevicePosting;

/**
 * Entries of a plug that feeds several devices stand under this name; accounts divide them. No id
 * holds a slash, so that it is no device's.
 */
export const stripOf = (plug: string): string => `plug/${plug}`;

/** Where entries are kept. Met by storage; money is never stored, always derived. */
export interface BookStore {
  /** Entries with slot in the span, ordered by slot, then device. */
  entries(span: Span): Iterable<Entry>;
  /** Span from the first entry's slot to the end of the last one's, or undefined when empty. */
  extent(): Span | undefined;
  /** Corrections that touch the span and were not withdrawn, in the order they were made. */
  corrections(span: Span): readonly Correction[];
  /**
   * Published prices of a series, by time: those that touch the span, whole also where they reach
   * beyond it. They do not overlap: where a quarter-hour and its hour are both published, the
   * shorter one holds for its time and the hour for the rest.
   */
  slotPrices(series: string, span: Span): readonly SlotPrice[];
  /**
   * What the house's meters counted, by time, then meter: the intervals that touch the span, whole
   * also where they reach beyond it.
   */
  house(span: Span): readonly HouseInterval[];
  /**
   * A higher number whenever corrections, prices or the house's intervals changed, whoever changed
   * them: commands write beside the daemon. It survives a restart.
   */
  edition(): number;
  /** The stored sheets of a local day that were drawn with this key: see sheets.ts. */
  sheets(day: Instant, key: string): string | undefined;
  /**
   * Keeps the sheets of a local day that is over, at most the newest three keys of a day. The store
   * lets go of them by itself, in the same transaction, when an entry, a correction or a slot price
   * within the day changes.
   *
   * Only for sheets that `sheets` was asked for and did not have, and that were drawn since from the
   * day's `entries` without waiting for anything. Where something may have changed meanwhile (another
   * process writes too), or where the store cannot write just now, they are not kept, and are drawn
   * again when next wanted.
   */
  keepSheets(day: Span, key: string, sheets: string): void;
}
