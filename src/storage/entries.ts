import type { Database } from 'better-sqlite3';
import type { DevicePosting } from '../books/index.ts';
import type { Known } from '../metering/index.ts';
import { CodedError, SLOT } from '../units/index.ts';
import { KNOWN } from './entry-scan.ts';
import type { Names } from './names.ts';
import { type EntrySum, inTableOrder, rowKey } from './pending.ts';

type Sums = Map<number, EntrySum>;

export interface EntryTable {
  /** One sum a row, so that a row is written once however often it was posted to. */
  sums(postings: readonly DevicePosting[]): Sums;
  /** Adds to the rows, and removes those that end at nothing. */
  write(sums: Sums): void;
}

const CODES = Object.fromEntries(KNOWN.map((known, code) => [known, code])) as Record<
  Known,
  number
>;

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

  function refOf(device: string, postings: readonly DevicePosting[]): number {
    const known = names.ref(device);
    if (known !== undefined) return known;
    names.learn(postings.map((posting) => posting.device));
    return names.ref(device) as number;
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
  };
}
