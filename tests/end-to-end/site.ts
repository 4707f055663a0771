import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { stringify } from 'yaml';
import type { Known } from '../../src/metering/index.ts';
import { openStoreReader, type StoreReader } from '../../src/storage/index.ts';
import { type Instant, SLOT, type Span } from '../../src/units/index.ts';

/** A configuration file as a tree, before it is written as YAML. */
export type Tree = Readonly<Record<string, unknown>>;

/** A folder with a configuration and, once a daemon has run, its books. */
export interface Site {
  readonly folder: string;
  readonly file: string;
  readonly store: string;
  /** Writes the configuration, as a text or as a tree. */
  write(config: Tree | string): void;
  /** Reads the books beside the daemon that writes them. */
  read<T>(look: (books: StoreReader) => T): T;
  /** Energy booked so far by device, mWh. */
  booked(): Map<string, Booked>;
  /** What SQLite itself says of the file: 'ok' when all is well. */
  integrity(): unknown;
  remove(): void;
}

export type Booked = Record<Known, number>;

const EVER: Span = { from: 0 as Instant, to: (SLOT * 1e8) as Instant };

export function createSite(config?: Tree | string): Site {
  const folder = mkdtempSync(join(tmpdir(), 'ampulla-end-to-end-'));
  const file = join(folder, 'site.yaml');
  const store = join(folder, 'ampulla.db');
  const site: Site = {
    folder,
    file,
    store,
    write: (next) => writeFileSync(file, typeof next === 'string' ? next : stringify(next)),
    read(look) {
      const books = openStoreReader({ file: store });
      try {
        return look(books);
      } finally {
        books.close();
      }
    },
    booked: () =>
      site.read((books) => {
        const sums = new Map<string, Booked>();
        for (const { device, known, energy } of books.entries(EVER)) {
          const sum = sums.get(device) ?? nothing();
          sum[known] += energy;
          sums.set(device, sum);
        }
        return sums;
      }),
    integrity() {
      const db = new Database(store, { readonly: true });
      try {
        return db.pragma('integrity_check', { simple: true });
      } finally {
        db.close();
      }
    },
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
  if (config !== undefined) site.write(config);
  return site;
}

const nothing = (): Booked => ({ counted: 0, integrated: 0, bridged: 0, reckoned: 0 });

/** What the meter of a plug last read off its counter, mWh; undefined before it is in the books. */
export const counterInBooks = (site: Site, plug: string): number | undefined =>
  site.read((books) => {
    const saved = books.states('metering').get(plug) as
      | { meter: { counter: { wh: number } | null } }
      | undefined;
    const wh = saved?.meter.counter?.wh;
    return wh === undefined ? undefined : Math.round(wh * 1000);
  });
