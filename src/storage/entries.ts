import type { Database } from 'better-sqlite3';
import type { DevicePosting, Entry } from '../books/index.ts';
import type { Known } from '../metering/index.ts';
import {
  CodedError,
  type Instant,
  later,
  type Millis,
  type MilliwattHours,
  SLOT,
  type Span,
} from '../units/index.ts';
import type { Names } from './names.ts';

export interface EntryTable {
  /** Adds postings to their entries. Runs within the caller's transaction. */
  add(postings: readonly DevicePosting[]): void;
  /** See BookStore. */
  read(span: Span): Iterable<Entry>;
  extent(): Span | undefined;
}

/** The place of a word is its number in the column `known`. */
const KNOWN: readonly Known[] = ['counted', 'integrated', 'bridged', 'reckoned'];
const CODES = Object.fromEntries(KNOWN.map((known, code) => [known, code])) as Record<
  Known,
  number
>;

/** A key of an entry as one whole number below 2^53: slot, then device, then how it is known. */
const REFS = 2 ** 22;
const keyOf = (slotNumber: number, ref: number, code: number): number =>
  (slotNumber * REFS + ref) * KNOWN.length + code;

/** Rows fetched at once: a few milliseconds, in which nothing else runs. */
const CHUNK_ROWS = 4096;

type Row = [
  slot: number,
  ref: number,
  known: number,
  energy: number,
  spread: number,
  covered: number,
  drawing: number,
];

interface Sums {
  readonly slot: number;
  readonly ref: number;
  readonly code: number;
  energy: number;
  spread: number;
  covered: number;
  drawing: number;
}

const wholeSlot = (slot: Instant): number => slot / SLOT;

function refuse(posting: DevicePosting): never {
  throw new CodedError(
    'AMP_STORE_POSTING',
    `a posting for device '${posting.device}' cannot be booked: ${JSON.stringify(posting)}`,
    {
      remedy:
        'slots start on a quarter-hour, energies are whole mWh and times whole ms: please report this message',
    },
  );
}

export function entriesIn(db: Database, names: Names): EntryTable {
  const add = db.prepare<[number, number, number, number, number, number, number]>(`
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
    .prepare<[number, number, number, number], Row>(`
      SELECT slot, device_ref, known, energy_mwh, spread_mwh, covered_ms, drawing_ms
      FROM entries
      WHERE (slot, device_ref, known) > (?, ?, ?) AND slot < ?
      ORDER BY slot, device_ref, known
      LIMIT ${CHUNK_ROWS}`)
    .raw();
  const selectExtent = db
    .prepare<[], [number | null, number | null]>(
      'SELECT (SELECT min(slot) FROM entries), (SELECT max(slot) FROM entries)',
    )
    .raw();

  function refOf(device: string, postings: readonly DevicePosting[]): number {
    const known = names.ref(device);
    if (known !== undefined) return known;
    names.learn(postings.map((posting) => posting.device));
    return names.ref(device) as number;
  }

  /** One sum a key, so that a row is written once a commit however often it was posted to. */
  function summed(postings: readonly DevicePosting[]): Map<number, Sums> {
    const sums = new Map<number, Sums>();
    for (const posting of postings) {
      const { energy, spread, covered, drawing } = posting;
      const slot = wholeSlot(posting.slot);
      const code = CODES[posting.known];
      const ref = refOf(posting.device, postings);
      const key = keyOf(slot, ref, code);
      const sum = sums.get(key);
      if (sum === undefined) {
        if (!Number.isSafeInteger(key)) refuse(posting);
        sums.set(key, { slot, ref, code, energy, spread, covered, drawing });
      } else {
        sum.energy += energy;
        sum.spread += spread;
        sum.covered += covered;
        sum.drawing += drawing;
      }
      const whole =
        Number.isSafeInteger(energy) &&
        Number.isSafeInteger(spread) &&
        Number.isSafeInteger(covered) &&
        Number.isSafeInteger(drawing);
      if (!whole) refuse(posting);
    }
    return sums;
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

  return {
    add(postings) {
      if (postings.length === 0) return;
      const sums = summed(postings);
      // In the table's own order, so that each page is visited once.
      for (const key of Float64Array.from(sums.keys()).sort()) {
        const { slot, ref, code, energy, spread, covered, drawing } = sums.get(key) as Sums;
        if (energy === 0 && spread === 0 && covered === 0 && drawing === 0) continue;
        add.run(slot, ref, code, energy, spread, covered, drawing);
        // Only something taken back can empty a row.
        if (covered < 0 || drawing < 0 || energy < 0 || spread < 0)
          removeSpent.run(slot, ref, code);
      }
    },

    *read(span) {
      const end = Math.ceil(span.to / SLOT);
      let at: [number, number, number] = [Math.ceil(span.from / SLOT), -1, -1];
      let held: Row[] = [];
      for (;;) {
        const rows = select.all(...at, end);
        const last = rows.at(-1);
        if (rows.length < CHUNK_ROWS || last === undefined) {
          const rest = held.length > 0 ? held.concat(rows) : rows;
          if (!names.inOrder()) rest.sort(byName);
          for (const row of rest) yield entryOf(row);
          return;
        }
        at = [last[0], last[1], last[2]];
        // The last slot may go on in the next chunk, and must be whole to be put in order.
        let cut = rows.length;
        while (cut > 0 && rows[cut - 1]?.[0] === last[0]) cut -= 1;
        if (cut === 0 && (held.length === 0 || held[0]?.[0] === last[0])) {
          held = held.concat(rows);
          continue;
        }
        const whole = held.concat(rows.slice(0, cut));
        held = rows.slice(cut);
        if (!names.inOrder()) whole.sort(byName);
        for (const row of whole) yield entryOf(row);
      }
    },

    extent() {
      const [first, last] = selectExtent.get() as [number | null, number | null];
      if (first === null || last === null) return undefined;
      return { from: (first * SLOT) as Instant, to: later((last * SLOT) as Instant, SLOT) };
    },
  };
}
