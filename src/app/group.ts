import type { Alert, Delivery } from '../alerts/index.ts';
import type { DevicePosting } from '../books/index.ts';
import type { Known, MeterNote, Posting } from '../metering/index.ts';
import type { ClimateSlot, Refusal } from '../readings/index.ts';
import type {
  Answer,
  Batch,
  NewRepricing,
  RefusalCount,
  SavedState,
  StateRoom,
} from '../storage/index.ts';
import { type Instant, SLOT } from '../units/index.ts';

/**
 * What waits for the next commit. Readings are committed in groups: a counter loses nothing by
 * waiting, and a disk that is written once a second lasts longer than one written for each message.
 */
export class Group {
  /** By device, what is to be added to each of its entries; the newest last. */
  #additions = new Map<string, Addition[]>();
  /** Where the additions of a device are many: where each of them is. */
  #longOnes = new Map<string, Map<number, Addition>>();
  #rows = 0;
  #states = new Map<string, SavedState>();
  #climate: ClimateSlot[] = [];
  #notes: MeterNote[] = [];
  #refusals = new Map<string, RefusalCount>();
  #refused: Refusal[] = [];
  #alerts: Alert[] = [];
  #deliveries: Delivery[] = [];
  #repricings: NewRepricing[] = [];
  #answers: Answer[] = [];

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
      this.#deliveries.length === 0 &&
      this.#answers.length === 0
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
    const addition = this.#additionTo(device, additions, posting);
    if (addition !== undefined) {
      addition.energy += posting.energy;
      addition.spread += posting.spread;
      addition.covered += posting.covered;
      addition.drawing += posting.drawing;
      return;
    }
    const { slot, known, energy, spread, covered, drawing } = posting;
    const first = { slot, known, energy, spread, covered, drawing };
    additions.push(first);
    this.#longOnes.get(device)?.set(placeOf(first), first);
    this.#rows += 1;
  }

  #additionTo(
    device: string,
    additions: readonly Addition[],
    { slot, known }: Posting,
  ): Addition | undefined {
    if (additions.length >= LONG) {
      let places = this.#longOnes.get(device);
      if (places === undefined) {
        places = new Map(additions.map((addition) => [placeOf(addition), addition]));
        this.#longOnes.set(device, places);
      }
      return places.get(placeOf({ slot, known }));
    }
    for (let index = additions.length - 1; index >= 0; index -= 1) {
      const addition = additions[index] as Addition;
      if (addition.slot === slot && addition.known === known) return addition;
    }
    return undefined;
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

  refuse(refusal: Refusal): void {
    const { reason, feed, source, topic, found, at } = refusal;
    const key = `${reason} ${feed ?? ''} ${source?.from ?? ''} ${source?.id ?? ''}`;
    const count = (this.#refusals.get(key)?.count ?? 0) + 1;
    this.#refusals.set(key, { reason, feed, source, topic, found, at, count });
    if (this.#refused.length < REFUSED_A_GROUP) this.#refused.push(refusal);
  }

  tell(alerts: readonly Alert[], deliveries: readonly Delivery[]): void {
    this.#alerts.push(...alerts);
    this.#deliveries.push(...deliveries);
  }

  answer(answer: Answer): void {
    this.#answers.push(answer);
  }

  reprice(repricing: NewRepricing): void {
    this.#repricings.push(repricing);
  }

  /** What is to be committed; the group keeps it until `clear` says that the disk has it. */
  batch(): Batch {
    return {
      postings: this.#postings(),
      states: [...this.#states.values()],
      climate: this.#climate,
      notes: this.#notes,
      refusals: [...this.#refusals.values()],
      refused: this.#refused,
      alerts: this.#alerts,
      deliveries: this.#deliveries,
      repricings: this.#repricings,
      answers: this.#answers,
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
    this.#longOnes = new Map();
    this.#rows = 0;
    this.#states = new Map();
    this.#climate = [];
    this.#notes = [];
    this.#refusals = new Map();
    this.#refused = [];
    this.#alerts = [];
    this.#deliveries = [];
    this.#repricings = [];
    this.#answers = [];
  }

  /**
   * Keeps the newest notes only and folds what probes measured in one slot, so that a disk that takes
   * nothing for hours fills no memory.
   */
  compact(notesKept = 1000): void {
    this.#notes = this.#notes.slice(-notesKept);
    const folded = new Map<string, ClimateSlot>();
    for (const more of this.#climate) {
      const key = `${more.slot} ${more.measure} ${more.probe}`;
      const before = folded.get(key);
      folded.set(key, before === undefined ? more : merged(before, more));
    }
    this.#climate = [...folded.values()];
  }
}

/** Refused values beyond these are only counted: a flood of nonsense must not fill the card. */
const REFUSED_A_GROUP = 200;

/** From so many additions to one device on they are found by their place: months of catching up. */
const LONG = 100;

const KNOWN: readonly Known[] = ['counted', 'integrated', 'bridged', 'reckoned'];

/** A number of its own for each slot and way of knowing. */
const placeOf = ({ slot, known }: Pick<Addition, 'slot' | 'known'>): number =>
  (slot / SLOT) * KNOWN.length + KNOWN.indexOf(known);

const merged = (a: ClimateSlot, b: ClimateSlot): ClimateSlot => ({
  ...a,
  count: a.count + b.count,
  sum: a.sum + b.sum,
  min: Math.min(a.min, b.min),
  max: Math.max(a.max, b.max),
});

/** What is to be added to one entry: energies in mWh, times in ms. */
interface Addition {
  readonly slot: Instant;
  readonly known: Known;
  energy: number;
  spread: number;
  covered: number;
  drawing: number;
}
