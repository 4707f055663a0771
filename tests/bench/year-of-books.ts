import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { built } from './product.ts';
import { loadOf, socketOf } from './stream.ts';

/** A store file with entries of every quarter-hour for a number of devices. */
export interface YearOfBooks {
  readonly store: string;
  readonly devices: number;
  /** When the first quarter-hour begins, and how many there are. */
  readonly from: number;
  readonly slots: number;
  /** Length of one, ms. */
  readonly slot: number;
  readonly rows: number;
  /** All of it, mWh. */
  readonly energy: number;
}

const SLOT = 900_000;

/** Midnight in Tallinn, 2025-01-01. */
const FROM = Date.UTC(2024, 11, 31, 22);

/** Makes a store as the program makes it, and fills its table of entries with plain SQL. */
export async function buildYear(
  devices: number,
  days: number,
): Promise<YearOfBooks & { remove(): void }> {
  const { openStore } =
    await built<typeof import('../../src/storage/index.ts')>('storage/index.js');
  const folder = mkdtempSync(join(tmpdir(), 'ampulla-bench-'));
  const store = join(folder, 'books.db');
  openStore({ file: store }).close();
  const slots = days * 96;
  const db = new Database(store);
  db.pragma('synchronous = OFF');
  const name = db.prepare('INSERT INTO names (id) VALUES (?)');
  const insert = db.prepare('INSERT INTO entries VALUES (?, ?, 0, ?, 0, ?, ?)');
  let energy = 0;
  db.transaction(() => {
    const refs = Array.from({ length: devices }, (_, plug) =>
      Number(name.run(`gear-${socketOf(plug)}`).lastInsertRowid),
    );
    for (let index = 0; index < slots; index += 1) {
      refs.forEach((ref, plug) => {
        const mwh = loadOf(plug).watts * 250 - ((index * 7 + plug * 13) % 250);
        energy += mwh;
        insert.run(FROM / SLOT + index, ref, mwh, SLOT, SLOT);
      });
    }
  })();
  db.pragma('wal_checkpoint(TRUNCATE)');
  db.close();
  return {
    store,
    devices,
    from: FROM,
    slots,
    slot: SLOT,
    rows: slots * devices,
    energy,
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
}
