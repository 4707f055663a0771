import { deflateRawSync, inflateRawSync } from 'node:zlib';
import type { StateRoom } from './batch.ts';
import { addClimate, addEntry, nothingPending, type Pending, rowKey, stateKey } from './pending.ts';

type Encoded = [
  entries: number[],
  climate: number[],
  states: [room: StateRoom, key: string, state: object | null][],
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
  const remembered: string[] = [];
  for (const { room, key, text } of states.values()) {
    remembered.push(`["${room}",${JSON.stringify(key)},${text}]`);
  }
  return `[${JSON.stringify(energies)},${JSON.stringify(samples)},[${remembered.join(',')}]]`;
}

const NUMBERS_A_ROW = 7;

function* rowsOf(numbers: readonly number[]): Generator<number[]> {
  for (let at = 0; at < numbers.length; at += NUMBERS_A_ROW) {
    yield numbers.slice(at, at + NUMBERS_A_ROW);
  }
}

function changesOf(text: string): Pending {
  const [energies, samples, states] = JSON.parse(text) as Encoded;
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
  for (const [room, key, state] of states) {
    const text = state === null ? null : JSON.stringify(state);
    pending.states.set(stateKey({ room, key }), { room, key, text });
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
