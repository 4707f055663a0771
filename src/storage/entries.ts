import type { Database } from 'better-sqlite3';
import type { DevicePosting, Entry } from '../books/index.ts';
import type { Known } from '../metering/index.ts';
import {
  CodedError,
  type Instant,
  type Millis,
  type MilliwattHours,
  SLOT,
  type Span,
} from '../units/index.ts';
import type { Names } from './names.ts';
import { type EntrySum, inTableOrder, rowKey } from './pending.ts';

type Sums = Map<number, EntrySum>;

export interface EntryTable {
  /** One sum a row, so that a row is written once however often it was posted to. */
  sums(postings: readonly DevicePosting[]): Sums;
  /** Adds to the rows, and removes those that end at nothing. */
  write(sums: Sums): void;
  /** Rows and what is `pending` to them, by slot, device id and way of knowing. */
  read(span: Span, pending: Sums): Iterable<Entry>;
  extent(pending: Sums): Span | undefined;
}

/** The place of a word is its number in the column `known`. */
const KNOWN: readonly Known[] = ['counted', 'integrated', 'bridged', 'reckoned'];
const CODES = Object.fromEntries(KNOWN.map((known, code) => [known, code])) as Record<
  Known,
  number
>;

/** Rows fetched at once: a few milliseconds, in which nothing else runs. */
const CHUNK_ROWS = 4096;

type Row = [
  slot: number,
  ref: number,
  code: number,
  energy: number,
  spread: number,
  covered: number,
  drawing: number,
];

function requireBookable(posting: DevicePosting, key: number): void {
  const { energy, spread, covered, drawing } = posting;
  const bookable =
    Number.isSafeInteger(key) &&
    Number.isSafeInteger(energy) &&
    Number.isSafeInteger(spread) &&
    Number.isSafeInteger(covered) &&
    Number.isSafeInteger(drawing);
  if (bookable) return;
  throw new CodedError(
    'AMP_STORE_POSTING',
    `a posting for device '${posting.device}' cannot be booked: ${JSON.stringify(posting)}`,
    {
      remedy:
        'slots start on a quarter-hour, energies are whole mWh, times whole ms; this is a mistake in the program: please report it with this message',
    },
  );
}

const isNothing = (energy: number, spread: number, covered: number, drawing: number): boolean =>
  energy === 0 && spread === 0 && covered === 0 && drawing === 0;

export function entriesIn(db: Database, names: Names): EntryTable {
  const add = db.prepare<Row>(`
    INSERT INTO entries (slot, device_ref, known, energy_mwh, spread_mwh, covered_ms, drawing_ms)
    VALUES (?, ?, ?, ?, ?, ?, ?)
    ON CONFLICT DO UPDATE SET
      energy_mwh = energy_mwh + excluded.energy_mwh,
      spread_mwh = spread_mwh + excluded.spread_mwh,
      covered_ms = covered_ms + excluded.covered_ms,
      drawing_ms = drawing_ms + excluded.drawing_ms`);
  const removeSpent = db.prepare<[number, number, number]>(`
    DELETE FROM entries
    WHERE slot = ? AND device_ref = ? AND known = ?
      AND energy_mwh = 0 AND spread_mwh = 0 AND covered_ms = 0 AND drawing_ms = 0`);
  const select = db
    .prepare<[number, number], Row>(`
      SELECT slot, device_ref, known, energy_mwh, spread_mwh, covered_ms, drawing_ms
      FROM entries WHERE slot >= ? AND slot < ?
      ORDER BY slot, device_ref, known`)
    .raw();
  const selectFirst = db
    .prepare<[number], number | null>('SELECT min(slot) FROM entries WHERE slot >= ?')
    .pluck();
  const selectLast = db
    .prepare<[number], number | null>('SELECT max(slot) FROM entries WHERE slot <= ?')
    .pluck();

  function refOf(device: string, postings: readonly DevicePosting[]): number {
    const known = names.ref(device);
    if (known !== undefined) return known;
    names.learn(postings.map((posting) => posting.device));
    return names.ref(device) as number;
  }

  function entryOf(row: Row): Entry {
    return {
      slot: (row[0] * SLOT) as Instant,
      device: names.id(row[1]),
      known: KNOWN[row[2]] as Known,
      energy: row[3] as MilliwattHours,
      spread: row[4] as MilliwattHours,
      covered: row[5] as Millis,
      drawing: row[6] as Millis,
    };
  }

  const byName = (a: Row, b: Row): number =>
    a[0] - b[0] || names.rank(a[1]) - names.rank(b[1]) || a[2] - b[2];

  /** The rows of the slots from `from` to before `to`, pending ones added, in the order promised. */
  function rowsBetween(from: number, to: number, pending: Sums): Row[] {
    const stored = select.all(from, to);
    const sums = new Map<number, Row>();
    for (const [key, { slot, ref, code, energy, spread, covered, drawing }] of pending) {
      if (slot < from || slot >= to) continue;
      sums.set(key, [slot, ref, code, energy, spread, covered, drawing]);
    }
    if (sums.size === 0) return names.inOrder() ? stored : stored.sort(byName);
    for (const row of stored) {
      const sum = sums.get(rowKey(row[0], row[1], row[2]));
      if (sum === undefined) continue;
      for (let column = 3; column < row.length; column += 1) {
        row[column] = (row[column] as number) + (sum[column] as number);
      }
      sums.delete(rowKey(row[0], row[1], row[2]));
    }
    return [...stored, ...sums.values()]
      .filter((row) => !isNothing(row[3], row[4], row[5], row[6]))
      .sort(byName);
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

  return {
    sums(postings) {
      const sums: Sums = new Map();
      for (const posting of postings) {
        const slot = posting.slot / SLOT;
        const ref = refOf(posting.device, postings);
        const code = CODES[posting.known];
        const key = rowKey(slot, ref, code);
        requireBookable(posting, key);
        const sum = sums.get(key);
        const { energy, spread, covered, drawing } = posting;
        if (sum === undefined) {
          sums.set(key, { slot, ref, code, energy, spread, covered, drawing });
        } else {
          sum.energy += energy;
          sum.spread += spread;
          sum.covered += covered;
          sum.drawing += drawing;
        }
      }
      return sums;
    },

    write(sums) {
      for (const key of inTableOrder(sums)) {
        const { slot, ref, code, energy, spread, covered, drawing } = sums.get(key) as EntrySum;
        if (isNothing(energy, spread, covered, drawing)) continue;
        add.run(slot, ref, code, energy, spread, covered, drawing);
        // A row can end at nothing only where something was taken back.
        if (energy < 0 || spread < 0 || covered < 0 || drawing < 0) {
          removeSpent.run(slot, ref, code);
        }
      }
    },

    *read(span, pending) {
      const end = Math.ceil(span.to / SLOT);
      let slots = 1;
      let from = nextSlot(Math.ceil(span.from / SLOT), pending);
      while (from !== undefined && from < end) {
        const to = Math.min(from + slots, end);
        const rows = rowsBetween(from, to, pending);
        for (const row of rows) yield entryOf(row);
        const fitting = Math.floor((CHUNK_ROWS * (to - from)) / Math.max(rows.length, 1));
        slots = Math.max(1, Math.min(fitting, slots * 8));
        from = nextSlot(to, pending);
      }
    },

    extent(pending) {
      const has = (slot: number): boolean => rowsBetween(slot, slot + 1, pending).length > 0;
      let first = nextSlot(Number.MIN_SAFE_INTEGER, pending);
      while (first !== undefined && !has(first)) first = nextSlot(first + 1, pending);
      let last = previousSlot(Number.MAX_SAFE_INTEGER, pending);
      while (last !== undefined && !has(last)) last = previousSlot(last - 1, pending);
      if (first === undefined || last === undefined) return undefined;
      return { from: (first * SLOT) as Instant, to: ((last + 1) * SLOT) as Instant };
    },
  };
}
