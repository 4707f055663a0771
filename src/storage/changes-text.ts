import { deflateRawSync, inflateRawSync } from 'node:zlib';
import type { StateRoom } from './batch.ts';
import { addClimate, addEntry, nothingPending, type Pending, rowKey, stateKey } from './pending.ts';

type Encoded = [
  entries: number[],
  climate: number[],
  rooms: StateRoom[],
  keys: string[],
  states: (object | null)[],
];

function textOf({ entries, climate, states }: Pending): string {
  const energies: number[] = [];
  for (const { slot, ref, code, energy, spread, covered, drawing } of entries.values()) {
    energies.push(slot, ref, code, energy, spread, covered, drawing);
  }
  const samples: number[] = [];
  for (const { slot, ref, code, count, sum, min, max } of climate.values()) {
    samples.push(slot, ref, code, count, sum, min, max);
  }
  const rooms: StateRoom[] = [];
  const keys: string[] = [];
  // JSON already: joined as it is, because a large site spends most of a commit here.
  const texts: string[] = [];
  for (const { room, key, text } of states.values()) {
    rooms.push(room);
    keys.push(key);
    texts.push(text ?? 'null');
  }
  return `[${[energies, samples, rooms, keys].map((part) => JSON.stringify(part))},[${texts.join(',')}]]`;
}

const NUMBERS_A_ROW = 7;

function* rowsOf(numbers: readonly number[]): Generator<number[]> {
  for (let at = 0; at < numbers.length; at += NUMBERS_A_ROW) {
    yield numbers.slice(at, at + NUMBERS_A_ROW);
  }
}

function changesOf(text: string): Pending {
  const [energies, samples, rooms, keys, states] = JSON.parse(text) as Encoded;
  const pending = nothingPending();
  for (const row of rowsOf(energies)) {
    const [slot = 0, ref = 0, code = 0, energy = 0, spread = 0, covered = 0, drawing = 0] = row;
    const sum = { slot, ref, code, energy, spread, covered, drawing };
    addEntry(pending.entries, rowKey(slot, ref, code), sum);
  }
  for (const row of rowsOf(samples)) {
    const [slot = 0, ref = 0, code = 0, count = 0, sum = 0, min = 0, max = 0] = row;
    addClimate(pending.climate, rowKey(slot, ref, code), { slot, ref, code, count, sum, min, max });
  }
  for (const [index, state] of states.entries()) {
    const saved = { room: rooms[index] as StateRoom, key: keys[index] as string };
    const text = state === null ? null : JSON.stringify(state);
    pending.states.set(stateKey(saved), { ...saved, text });
  }
  return pending;
}

/** Longer texts stay as they are: packing them would cost a large site more time than it has. */
const PACKED_LENGTH = 16 * 1024;

/** Changes as JSON, numbers in the order of the columns; packed where that spares a page. */
export function encode(changes: Pending): string | Buffer {
  const text = textOf(changes);
  return text.length > PACKED_LENGTH ? text : deflateRawSync(text, { level: 1 });
}

export const decode = (stored: string | Buffer): Pending =>
  changesOf(typeof stored === 'string' ? stored : inflateRawSync(stored).toString());
