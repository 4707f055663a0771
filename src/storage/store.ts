import { chmodSync, closeSync, existsSync, openSync, renameSync, rmSync } from 'node:fs';
import type { Delivery } from '../alerts/index.ts';
import { CodedError, type Instant, SLOT } from '../units/index.ts';
import type { Batch } from './batch.ts';
import { type Connection, connect, connectReader } from './connect.ts';
import { explained, storeFault } from './faults.ts';
import { type Keeping, keepingIn } from './keeping.ts';
import { migrations } from './migrations/index.ts';
import type { Pending } from './pending.ts';
import { readingOf, type StoreReader } from './reading.ts';
import { tablesIn } from './tables.ts';

/** A store as the daemon has it: it alone writes what comes from plugs and probes. */
export interface Store extends StoreReader, Keeping {
  /**
   * Writes the batch in one transaction and returns when the disk has it. When it throws, nothing
   * of the batch was written and the same batch may be committed again.
   */
  commit(batch: Batch): void;
  /** Records what became of a delivery. */
  saveDelivery(delivery: Delivery): void;
  /**
   * Copies the store, while it goes on being written, to a file that does not exist yet.
   *
   * @throws CodedError AMP_STORE_COPY_EXISTS
   */
  backup(file: string): Promise<void>;
  /**
   * Writes what is pending to the tables, brings the log into the file and forgets deliveries that
   * were settled 90 days before `now`: for a quiet moment, hourly or so.
   */
  tidy(now: Instant): void;
}

export interface StoreOptions {
  /** Path of the SQLite file; its folder must exist. Absolute, or from the working directory. */
  readonly file: string;
}

/** Commits between two checkpoints when the log stays small. */
const COMMITS_A_CHECKPOINT = 1000;

/**
 * Opens the store at `file` for writing, makes or updates it where that is due, and keeps other
 * daemons out until it is closed.
 *
 * @throws CodedError AMP_STORE_*, see connect.
 */
export function openStore({ file }: StoreOptions): Store {
  return opened(connect(file, migrations));
}

/** Opens an existing store for reading, also beside the daemon that writes it. */
export function openStoreReader({ file }: StoreOptions): StoreReader {
  return opened(connectReader(file, migrations));
}

function opened(connection: Connection): Store {
  try {
    return storeOver(connection);
  } catch (error) {
    try {
      connection.close();
    } catch {
      // What made it fail says more than that closing failed as well.
    }
    throw storeFault(error, connection.file);
  }
}

/** A store over an open connection, which it closes. */
export function storeOver(connection: Connection): Store {
  const { db, file } = connection;
  const tables = tablesIn(db);
  const { names, entries, states, climate, journal, deliveries, sheets, awaitedSheets } = tables;
  let commits = 0;

  const write = db.transaction((batch: Batch) => {
    const sums = entries.sums(batch.postings);
    dropSheets(sums);
    journal.take({
      entries: sums,
      climate: climate.sums(batch.climate),
      states: states.texts(batch.states),
    });
    tables.notes.append(batch.notes);
    tables.refusals.add(batch.refusals);
    tables.refused.append(batch.refused);
    tables.alerts.save(batch.alerts);
    deliveries.add(batch.deliveries);
    for (const repricing of batch.repricings) tables.repricings.add(repricing);
    tables.requests.answer(batch.answers);
  });
  const writePending = db.transaction(journal.fold);

  /** What memory holds follows the file: only what was committed counts. */
  function settled(work: () => void): void {
    try {
      work();
    } catch (error) {
      names.forget();
      journal.forget();
      throw storeFault(error, file);
    }
    names.keep();
    journal.keep();
  }

  /** Sheets of a day that is over hold no longer when something is posted to it. */
  function dropSheets(sums: Pending['entries']): void {
    if (sums.size === 0) return;
    const end = (sheets.end() ?? Number.NEGATIVE_INFINITY) / SLOT;
    const old = new Set<number>();
    let first = Number.POSITIVE_INFINITY;
    for (const { slot } of sums.values()) {
      first = Math.min(first, slot);
      if (slot < end) old.add(slot);
    }
    awaitedSheets.posted((first * SLOT) as Instant);
    const slots = [...old].sort((a, b) => a - b);
    sheets.drop(
      slots.map((slot) => ({ from: (slot * SLOT) as Instant, to: ((slot + 1) * SLOT) as Instant })),
    );
  }

  const fold = (): void => settled(() => writePending.immediate());

  function checkpoint(): void {
    commits = 0;
    explained(file, () => db.pragma('wal_checkpoint(PASSIVE)'));
  }

  const transact = <T>(work: () => T): T => explained(file, () => db.transaction(work).immediate());
  const keeping = keepingIn(tables, transact);

  return {
    ...readingOf(file, tables, (work) => explained(file, work)),
    ...keeping,
    keepSheets(day, key, text) {
      if (!db.readonly) keeping.keepSheets(day, key, text);
    },
    close() {
      try {
        if (db.open && !db.readonly) fold();
      } finally {
        connection.close();
      }
    },

    commit(batch) {
      settled(() => write.immediate(batch));
      commits += 1;
      if (commits < COMMITS_A_CHECKPOINT) return;
      try {
        checkpoint();
      } catch {
        // The batch is written: throwing would have it booked twice. tidy() will say what is wrong.
      }
    },
    saveDelivery: (delivery) => explained(file, () => deliveries.save(delivery)),
    async backup(target) {
      fold();
      await copyTo(connection, target);
    },
    tidy(now) {
      fold();
      explained(file, () => deliveries.forget(now));
      checkpoint();
    },
  };
}

async function copyTo({ db }: Connection, target: string): Promise<void> {
  if (existsSync(target)) {
    throw new CodedError('AMP_STORE_COPY_EXISTS', `there is a file '${target}' already`, {
      remedy: 'name a file that does not exist yet; it was left as it is',
    });
  }
  const unfinished = `${target}.unfinished`;
  try {
    rmSync(unfinished, { force: true });
    closeSync(openSync(unfinished, 'wx', 0o600));
    await db.backup(unfinished);
    chmodSync(unfinished, 0o600);
    renameSync(unfinished, target);
  } catch (error) {
    rmSync(unfinished, { force: true });
    throw storeFault(error, target);
  }
}
