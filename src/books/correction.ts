import type { Instant, MilliwattHours, Span } from '../units/index.ts';

/**
 * What a keeper corrected by hand. Entries are never changed: a correction lies over them, and one
 * that is withdrawn stays on record.
 */
export interface Correction {
  /** 1, 2, 3 … in the order they were made. */
  readonly number: number;
  readonly device: string;
  /** On quarter-hours. */
  readonly span: Span;
  /** void: what stands in the span does not count. book: energy is added, reckoned, spread evenly. */
  readonly kind: 'void' | 'book';
  /** Of a booking; 0 for a void. */
  readonly energy: MilliwattHours;
  /** The keeper's own words. */
  readonly reason: string;
  readonly made: Instant;
  readonly withdrawn: { readonly at: Instant; readonly reason: string } | undefined;
}
