import type { Database } from 'better-sqlite3';
import type { Entry } from '../books/index.ts';
import type { Known } from '../metering/index.ts';
import { type Instant, type Millis, type MilliwattHours, SLOT, type Span } from '../units/index.ts';
import type { Names } from './names.ts';
import type { EntrySum } from './pending.ts';

type Sums = ReadonlyMap<number, EntrySum>;

export interface EntryScan {
  /**
   * Rows and what is `pending` to them, by slot, device id and way of knowing.
   *
   * @param settled runs the reading of each chunk, where something must be seen to around it
   */
  read(span: Span, pending: Sums, settled?: <T>(chunk: () => T) => T): Iterable<Entry>;
  extent(pending: Sums): Span | undefined;
}

/** The place of a word is its number in the column `known`. */
export const KNOWN: readonly Known[] = ['counted', 'integrated', 'bridged', 'reckoned'];

/** Rows fetched at once: a few milliseconds, in which nothing else runs. */
const CHUNK_ROWS = 4096;

/** The rows of a slot, one after another: ref, code, energy, spread, covered, drawing. */
type Rows = number[];
const ROW = 6;

interface SlotRows {
  readonly slot: number;
  readonly rows: Rows;
}

/**
 * Adds what is pending to the rows of its slot, and leaves out rows that end at nothing.
 */
function withPending(stored: Rows, pending: readonly EntrySum[]): Rows {
  const rows = stored.slice();
  const places = new Map<number, number>();
  const placeKey = (ref: number, code: number): number => ref * KNOWN.length + code;
  for (let place = 0; place < rows.length; place += ROW) {
    places.set(placeKey(rows[place] as number, rows[place + 1] as number), place);
  }
  for (const { ref, code, energy, spread, covered, drawing } of pending) {
    const place = places.get(placeKey(ref, code));
    if (place === undefined) {
      rows.push(ref, code, energy, spread, covered, drawing);
      continue;
    }
    for (const [index, more] of [energy, spread, covered, drawing].entries()) {
      rows[place + 2 + index] = (rows[place + 2 + index] as number) + more;
    }
  }
  const left: Rows = [];
  for (let place = 0; place < rows.length; place += ROW) {
    const row = rows.slice(place, place + ROW);
    if (row.slice(2).some((value) => value !== 0)) left.push(...row);
  }
  return left;
}

/** Whether both hold rows of the same devices and ways of knowing in the same places. */
function alike(a: Rows, b: Rows): boolean {
  if (a.length !== b.length) return false;
  for (let place = 0; place < a.length; place += ROW) {
    if (a[place] !== b[place] || a[place + 1] !== b[place + 1]) return false;
  }
  return true;
}

export function scanEntries(db: Database, names: Names): EntryScan {
  // A slot's rows as one text: SQLite writes it and JSON.parse reads it in little more than half the
  // time that handing over each number by itself takes.
  const select = db
    .prepare<[number, number], [slot: number, rows: string]>(`
      SELECT slot, group_concat(device_ref || ',' || known || ',' || energy_mwh || ',' ||
        spread_mwh || ',' || covered_ms || ',' || drawing_ms)
      FROM entries WHERE slot >= ? AND slot < ?
      GROUP BY slot ORDER BY slot`)
    .raw();
  const selectFirst = db
    .prepare<[number], number | null>('SELECT min(slot) FROM entries WHERE slot >= ?')
    .pluck();
  const selectLast = db
    .prepare<[number], number | null>('SELECT max(slot) FROM entries WHERE slot <= ?')
    .pluck();

  /** The slots from `from` to before `to` that have rows, stored or pending. */
  function slotsBetween(from: number, to: number, pending: Sums): SlotRows[] {
    const stored = select
      .all(from, to)
      .map(([slot, text]): SlotRows => ({ slot, rows: JSON.parse(`[${text}]`) as Rows }));
    const sums = new Map<number, EntrySum[]>();
    for (const sum of pending.values()) {
      if (sum.slot < from || sum.slot >= to) continue;
      const ofSlot = sums.get(sum.slot);
      if (ofSlot === undefined) sums.set(sum.slot, [sum]);
      else ofSlot.push(sum);
    }
    if (sums.size === 0) return stored;
    const slots = new Map(stored.map(({ slot, rows }) => [slot, rows]));
    for (const [slot, more] of sums) slots.set(slot, withPending(slots.get(slot) ?? [], more));
    return [...slots]
      .filter(([, rows]) => rows.length > 0)
      .sort(([a], [b]) => a - b)
      .map(([slot, rows]) => ({ slot, rows }));
  }

  /** The first slot at or after `at` (or the last at or before it) that has a row, stored or pending. */
  function nextSlot(at: number, pending: Sums): number | undefined {
    let next = selectFirst.get(at) ?? Number.POSITIVE_INFINITY;
    for (const { slot } of pending.values()) if (slot >= at && slot < next) next = slot;
    return Number.isFinite(next) ? next : undefined;
  }
  function previousSlot(at: number, pending: Sums): number | undefined {
    let previous = selectLast.get(at) ?? Number.NEGATIVE_INFINITY;
    for (const { slot } of pending.values()) if (slot <= at && slot > previous) previous = slot;
    return Number.isFinite(previous) ? previous : undefined;
  }

  let lastRows: Rows = [];
  let lastOrder: readonly number[] = [];

  /** The places of rows in the order promised: nearly always that of the slot before. */
  function inOrder(rows: Rows): readonly number[] {
    if (alike(rows, lastRows)) return lastOrder;
    const places = Array.from({ length: rows.length / ROW }, (_, index) => index * ROW);
    lastRows = rows;
    lastOrder = places.sort(
      (a, b) =>
        names.rank(rows[a] as number) - names.rank(rows[b] as number) ||
        (rows[a + 1] as number) - (rows[b + 1] as number),
    );
    return lastOrder;
  }

  const entryAt = (slot: Instant, rows: Rows, place: number): Entry => ({
    slot,
    device: names.id(rows[place] as number),
    known: KNOWN[rows[place + 1] as number] as Known,
    energy: rows[place + 2] as MilliwattHours,
    spread: rows[place + 3] as MilliwattHours,
    covered: rows[place + 4] as Millis,
    drawing: rows[place + 5] as Millis,
  });

  return {
    *read(span, pending, settled = (chunk) => chunk()) {
      const end = Math.ceil(span.to / SLOT);
      let at = Math.ceil(span.from / SLOT);
      let width = 1;
      while (at < end) {
        const chunk = settled(() => {
          const from = nextSlot(at, pending);
          if (from === undefined || from >= end) return undefined;
          const to = Math.min(from + width, end);
          return { from, to, slots: slotsBetween(from, to, pending) };
        });
        if (chunk === undefined) return;
        let count = 0;
        for (const { slot, rows } of chunk.slots) {
          const start = (slot * SLOT) as Instant;
          for (const place of inOrder(rows)) yield entryAt(start, rows, place);
          count += rows.length / ROW;
        }
        const fitting = Math.floor((CHUNK_ROWS * (chunk.to - chunk.from)) / Math.max(count, 1));
        width = Math.max(1, Math.min(fitting, width * 8));
        at = chunk.to;
      }
    },

    extent(pending) {
      const has = (slot: number): boolean => slotsBetween(slot, slot + 1, pending).length > 0;
      let first = nextSlot(Number.MIN_SAFE_INTEGER, pending);
      while (first !== undefined && !has(first)) first = nextSlot(first + 1, pending);
      let last = previousSlot(Number.MAX_SAFE_INTEGER, pending);
      while (last !== undefined && !has(last)) last = previousSlot(last - 1, pending);
      if (first === undefined || last === undefined) return undefined;
      return { from: (first * SLOT) as Instant, to: ((last + 1) * SLOT) as Instant };
    },
  };
}
