import type { Alert, Delivery } from '../alerts/index.ts';
import type { DevicePosting } from '../books/index.ts';
import type { MeterNote } from '../metering/index.ts';
import type { ClimateSlot, Refusal } from '../readings/index.ts';
import type { NewRepricing } from './repricings.ts';
import type { Answer } from './requests.ts';

/**
 * What one commit writes: all of it or nothing. Counts and energies add to what is stored, states
 * and alerts replace it, deliveries already known are left alone.
 */
export interface Batch {
  /** Added to the entry of the same slot, device and way of knowing. */
  readonly postings: readonly DevicePosting[];
  /** The last one of a key wins. */
  readonly states: readonly SavedState[];
  /** Merged: counts and sums add up, the extremes widen. */
  readonly climate: readonly ClimateSlot[];
  readonly notes: readonly MeterNote[];
  readonly refusals: readonly RefusalCount[];
  /** Refused values themselves; the store keeps the newest. Not counted: `refusals` does that. */
  readonly refused: readonly Refusal[];
  /** Replaces the alert of the same id. */
  readonly alerts: readonly Alert[];
  /** An id that was ever stored is not stored again, so that nothing is sent twice. */
  readonly deliveries: readonly Delivery[];
  /** Changes of tariffs and shares of past days, now in force. */
  readonly repricings: readonly NewRepricing[];
  /** To requests of keepers that were taken up. */
  readonly answers: readonly Answer[];
}

/** Which part of the program remembers something over a restart. */
export type StateRoom = 'metering' | 'reckoning' | 'heat' | 'watches' | 'alerts' | 'app';

/**
 * What a room must find again after a restart. Kept as JSON: members that are undefined are left
 * out, and NaN, infinities, Maps and Dates do not survive. Null forgets the key.
 */
export interface SavedState {
  readonly room: StateRoom;
  readonly key: string;
  readonly state: object | null;
}

/** How often the same thing was refused, with the last example of it. */
export interface RefusalCount {
  readonly reason: Refusal['reason'];
  readonly feed: Refusal['feed'];
  readonly source: Refusal['source'];
  /** In a batch: to add. When read: since the store was made. */
  readonly count: number;
  /** Topic, value and time of the last one. */
  readonly topic: string;
  readonly found: string;
  readonly at: Refusal['at'];
}

const NOTHING: readonly never[] = Object.freeze([]);

/** A batch with nothing in it, to be spread: `{ ...emptyBatch, postings }`. */
export const emptyBatch: Batch = Object.freeze({
  postings: NOTHING,
  states: NOTHING,
  climate: NOTHING,
  notes: NOTHING,
  refusals: NOTHING,
  refused: NOTHING,
  alerts: NOTHING,
  deliveries: NOTHING,
  repricings: NOTHING,
  answers: NOTHING,
});
