import type { SavedState, StateRoom } from './batch.ts';

/** What is to be added to one entry; `slot` in quarter-hours since 1970, `code` as in entries.ts. */
export interface EntrySum {
  readonly slot: number;
  readonly ref: number;
  readonly code: number;
  energy: number;
  spread: number;
  covered: number;
  drawing: number;
}

/** What is to be merged into one slot of one probe; `code` as in climate.ts. */
export interface ClimateSum {
  readonly slot: number;
  readonly ref: number;
  readonly code: number;
  count: number;
  sum: number;
  min: number;
  max: number;
}

/** A state as it is stored: JSON, or null where it is to be forgotten. */
export interface StateText {
  readonly room: StateRoom;
  readonly key: string;
  readonly text: string | null;
}

/** Changes to the tables that grow with every reading, each row once. */
export interface Pending {
  readonly entries: Map<number, EntrySum>;
  readonly climate: Map<number, ClimateSum>;
  readonly states: Map<string, StateText>;
}

export const nothingPending = (): Pending => ({
  entries: new Map(),
  climate: new Map(),
  states: new Map(),
});

const REFS = 2 ** 22;
const CODES = 4;

/**
 * Slot, then ref, then code as one number that sorts in that order; a whole number below 2^53 for
 * every slot and ref that are whole themselves.
 */
export const rowKey = (slot: number, ref: number, code: number): number =>
  (slot * REFS + ref) * CODES + code;

export const stateKey = ({ room, key }: Pick<SavedState, 'room' | 'key'>): string =>
  `${room}/${key}`;

/** The row keys of a map in the tables' own order, so that a writer visits each page once. */
export const inTableOrder = (rows: ReadonlyMap<number, unknown>): Float64Array =>
  Float64Array.from(rows.keys()).sort();

export function addEntry(entries: Map<number, EntrySum>, key: number, more: EntrySum): void {
  const sum = entries.get(key);
  if (sum === undefined) {
    entries.set(key, { ...more });
    return;
  }
  sum.energy += more.energy;
  sum.spread += more.spread;
  sum.covered += more.covered;
  sum.drawing += more.drawing;
}

export function addClimate(climate: Map<number, ClimateSum>, key: number, more: ClimateSum): void {
  const sum = climate.get(key);
  if (sum === undefined) {
    climate.set(key, { ...more });
    return;
  }
  sum.count += more.count;
  sum.sum += more.sum;
  sum.min = Math.min(sum.min, more.min);
  sum.max = Math.max(sum.max, more.max);
}

/** Adds `more` to `pending`, as if both had been one batch. */
export function absorb(pending: Pending, more: Pending): void {
  for (const [key, sum] of more.entries) addEntry(pending.entries, key, sum);
  for (const [key, sum] of more.climate) addClimate(pending.climate, key, sum);
  for (const [key, state] of more.states) pending.states.set(key, state);
}

export function clear(pending: Pending): void {
  pending.entries.clear();
  pending.climate.clear();
  pending.states.clear();
}
