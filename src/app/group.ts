import type { Alert, Delivery } from '../alerts/index.ts';
import type { DevicePosting } from '../books/index.ts';
import type { MeterNote } from '../metering/index.ts';
import type { ClimateSlot, Refusal } from '../readings/index.ts';
import type { Batch, RefusalCount, SavedState, StateRoom } from '../storage/index.ts';
import type { Instant, Millis, MilliwattHours } from '../units/index.ts';

/**
 * What waits for the next commit. Readings are committed in groups: a counter loses nothing by
 * waiting, and a disk that is written once a second lasts longer than one written for each message.
 */
export class Group {
  #postings: DevicePosting[] = [];
  #states = new Map<string, SavedState>();
  #climate: ClimateSlot[] = [];
  #notes: MeterNote[] = [];
  #refusals = new Map<string, RefusalCount>();
  #alerts: Alert[] = [];
  #deliveries: Delivery[] = [];

  /** How much has gathered, in rows. */
  get size(): number {
    return this.#postings.length + this.#notes.length + this.#climate.length;
  }

  get empty(): boolean {
    return (
      this.size === 0 &&
      this.#states.size === 0 &&
      this.#refusals.size === 0 &&
      this.#alerts.length === 0 &&
      this.#deliveries.length === 0
    );
  }

  post(posting: DevicePosting): void {
    this.#postings.push(posting);
  }

  note(note: MeterNote): void {
    this.#notes.push(note);
  }

  /** The last state of a key wins. */
  save(room: StateRoom, key: string, state: object | null): void {
    this.#states.set(`${room}/${key}`, { room, key, state });
  }

  observe(climate: readonly ClimateSlot[]): void {
    this.#climate.push(...climate);
  }

  refuse({ reason, feed, source, topic, found, at }: Refusal): void {
    const key = `${reason} ${feed ?? ''} ${source?.from ?? ''} ${source?.id ?? ''}`;
    const count = (this.#refusals.get(key)?.count ?? 0) + 1;
    this.#refusals.set(key, { reason, feed, source, topic, found, at, count });
  }

  tell(alerts: readonly Alert[], deliveries: readonly Delivery[]): void {
    this.#alerts.push(...alerts);
    this.#deliveries.push(...deliveries);
  }

  /** What is to be committed; the group keeps it until `clear` says that the disk has it. */
  batch(): Batch {
    return {
      postings: this.#postings,
      states: [...this.#states.values()],
      climate: this.#climate,
      notes: this.#notes,
      refusals: [...this.#refusals.values()],
      alerts: this.#alerts,
      deliveries: this.#deliveries,
    };
  }

  /** The slots that postings wait for. */
  slots(): Set<Instant> {
    return new Set(this.#postings.map((posting) => posting.slot));
  }

  clear(): void {
    this.#postings = [];
    this.#states = new Map();
    this.#climate = [];
    this.#notes = [];
    this.#refusals = new Map();
    this.#alerts = [];
    this.#deliveries = [];
  }

  /**
   * Folds postings to the same place into one and keeps the newest notes, so that a disk that
   * takes nothing for hours does not fill the memory instead.
   */
  compact(notesKept = 1000): void {
    const folded = new Map<string, DevicePosting>();
    for (const posting of this.#postings) {
      const key = `${posting.slot} ${posting.known} ${posting.device}`;
      const before = folded.get(key);
      folded.set(key, before === undefined ? posting : plus(before, posting));
    }
    this.#postings = [...folded.values()];
    this.#notes = this.#notes.slice(-notesKept);
  }
}

const plus = (a: DevicePosting, b: DevicePosting): DevicePosting => ({
  ...a,
  energy: (a.energy + b.energy) as MilliwattHours,
  spread: (a.spread + b.spread) as MilliwattHours,
  covered: (a.covered + b.covered) as Millis,
  drawing: (a.drawing + b.drawing) as Millis,
});
