import type { Alert, Delivery } from '../alerts/index.ts';
import type { DevicePosting } from '../books/index.ts';
import type { Known, MeterNote, Posting } from '../metering/index.ts';
import type { ClimateSlot, Refusal } from '../readings/index.ts';
import type { Batch, RefusalCount, SavedState, StateRoom } from '../storage/index.ts';
import type { Instant } from '../units/index.ts';

/**
 * What waits for the next commit. Readings are committed in groups: a counter loses nothing by
 * waiting, and a disk that is written once a second lasts longer than one written for each message.
 */
export class Group {
  /** By device, what is to be added to each of its entries; the newest last. */
  #additions = new Map<string, Addition[]>();
  #rows = 0;
  #states = new Map<string, SavedState>();
  #climate: ClimateSlot[] = [];
  #notes: MeterNote[] = [];
  #refusals = new Map<string, RefusalCount>();
  #alerts: Alert[] = [];
  #deliveries: Delivery[] = [];

  /** How much has gathered, in rows of the store. */
  get size(): number {
    return this.#rows + this.#notes.length + this.#climate.length;
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

  /**
   * Adds to the entry of the posting's slot and way of knowing. Folded at once: however fast messages
   * come, a group has no more rows than there are entries to write.
   */
  post(device: string, posting: Posting): void {
    let additions = this.#additions.get(device);
    if (additions === undefined) {
      additions = [];
      this.#additions.set(device, additions);
    }
    const { slot, known } = posting;
    for (let index = additions.length - 1; index >= 0; index -= 1) {
      const addition = additions[index] as Addition;
      if (addition.slot !== slot || addition.known !== known) continue;
      addition.energy += posting.energy;
      addition.spread += posting.spread;
      addition.covered += posting.covered;
      addition.drawing += posting.drawing;
      return;
    }
    const { energy, spread, covered, drawing } = posting;
    additions.push({ slot, known, energy, spread, covered, drawing });
    this.#rows += 1;
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
      postings: this.#postings(),
      states: [...this.#states.values()],
      climate: this.#climate,
      notes: this.#notes,
      refusals: [...this.#refusals.values()],
      alerts: this.#alerts,
      deliveries: this.#deliveries,
    };
  }

  #postings(): DevicePosting[] {
    const postings: DevicePosting[] = [];
    for (const [device, additions] of this.#additions) {
      for (const addition of additions) postings.push({ device, ...addition } as DevicePosting);
    }
    return postings;
  }

  /** The slots that postings wait for. */
  slots(): Set<Instant> {
    const slots = new Set<Instant>();
    for (const additions of this.#additions.values()) {
      for (const { slot } of additions) slots.add(slot);
    }
    return slots;
  }

  clear(): void {
    this.#additions = new Map();
    this.#rows = 0;
    this.#states = new Map();
    this.#climate = [];
    this.#notes = [];
    this.#refusals = new Map();
    this.#alerts = [];
    this.#deliveries = [];
  }

  /** Keeps the newest notes only, so that a disk that takes nothing for hours fills no memory. */
  compact(notesKept = 1000): void {
    this.#notes = this.#notes.slice(-notesKept);
  }
}

/** What is to be added to one entry: energies in mWh, times in ms. */
interface Addition {
  readonly slot: Instant;
  readonly known: Known;
  energy: number;
  spread: number;
  covered: number;
  drawing: number;
}
