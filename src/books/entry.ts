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
  /** Published prices of a series that touch the span, by time; they do not overlap. */
  slotPrices(series: string, span: Span): readonly SlotPrice[];
  /** What the house's meters counted within the span, by time, then meter. */
  house(span: Span): readonly HouseInterval[];
  /**
   * Another number whenever corrections, prices or the house's intervals changed, whoever changed
   * them: commands write beside the daemon.
   */
  edition(): number;
  /** The stored sheets of a local day that were drawn with this key: see sheets.ts. */
  sheets(day: Instant, key: string): string | undefined;
  /**
   * Keeps the sheets of a local day that is over. The store lets go of them by itself, in the same
   * transaction, when an entry, a correction or a slot price within the day changes.
   */
  keepSheets(day: Span, key: string, sheets: string): void;
}
