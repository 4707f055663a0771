import type { Posting } from '../metering/index.ts';
import type { Span } from '../units/index.ts';

/** Energy to add to one device's slot. */
export interface DevicePosting extends Posting {
  readonly device: string;
}

/**
 * Energy booked for one device in one slot, one row per way of knowing it. The sum of all postings
 * to (slot, device, known).
 */
export type Entry = DevicePosting;

/** Where entries are kept. Met by storage; money is never stored, always derived. */
export interface BookStore {
  /** Entries with slot in the span, ordered by slot, then device. */
  entries(span: Span): Iterable<Entry>;
  /** Span from the first entry's slot to the end of the last one's, or undefined when empty. */
  extent(): Span | undefined;
}
