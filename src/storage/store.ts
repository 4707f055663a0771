import { chmodSync, closeSync, existsSync, openSync, renameSync, rmSync } from 'node:fs';
import type { Alert, Delivery } from '../alerts/index.ts';
import type { BookStore, Entry } from '../books/index.ts';
import type { MeterNote } from '../metering/index.ts';
import type { ClimateSlot } from '../readings/index.ts';
import { CodedError, type Instant, type Span } from '../units/index.ts';
import { type AlertFilter, alertsIn } from './alerts.ts';
import type { Batch, RefusalCount, StateRoom } from './batch.ts';
import { climateIn } from './climate.ts';
import { type Connection, connect, connectReader, storeBytes } from './connect.ts';
import { deliveriesIn } from './deliveries.ts';
import { entriesIn } from './entries.ts';
import { explained, storeFault } from './faults.ts';
import { journalIn } from './journal.ts';
import { migrations } from './migrations/index.ts';
import { namesIn } from './names.ts';
import { type NoteFilter, notesIn } from './notes.ts';
import { refusalsIn } from './refusals.ts';
import { statesIn } from './states.ts';

/** What can be read of a store. Everything throws the coded errors of faults.ts. */
export interface StoreReader extends BookStore {
  /**
   * Entries by slot, then device id, then how they are known. Read in chunks of a few milliseconds:
   * no long read holds up a checkpoint, and commits may happen between chunks. A caller that does
   * not await while iterating sees one state of the books.
   */
  entries(span: Span): Iterable<Entry>;
  states(room: StateRoom): Map<string, object>;
  /** Slots within the span, ordered by slot, probe, measure. */
  climate(span: Span, probe?: string): ClimateSlot[];
  /** The newest first, 200 unless the filter says otherwise. */
  notes(filter?: NoteFilter): MeterNote[];
  /** The most recent first. */
  refusals(): RefusalCount[];
  /** The oldest first. */
  alerts(filter?: AlertFilter): Alert[];
  /** Waiting deliveries that are due at `dueBefore` or earlier, the earliest first. */
  deliveries(dueBefore: Instant): Delivery[];
  /** Bytes on disk, the write-ahead log included. */
  size(): number;
  /** Writes what is pending and lets go of the file. A running backup must have ended. */
  close(): void;
}

/** The one writer of a store. */
export interface Store extends StoreReader {
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
  const names = namesIn(db);
  const entries = entriesIn(db, names);
  const states = statesIn(db);
  const climate = climateIn(db, names);
  const notes = notesIn(db);
  const refusals = refusalsIn(db);
  const alerts = alertsIn(db);
  const deliveries = deliveriesIn(db);
  const journal = journalIn(db, (changes) => {
    entries.write(changes.entries);
    climate.write(changes.climate);
    states.write(changes.states);
  });
  const { pending } = journal;
  let commits = 0;

  const write = db.transaction((batch: Batch) => {
    journal.take({
      entries: entries.sums(batch.postings),
      climate: climate.sums(batch.climate),
      states: states.texts(batch.states),
    });
    notes.append(batch.notes);
    refusals.add(batch.refusals);
    alerts.save(batch.alerts);
    deliveries.add(batch.deliveries);
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

  const fold = (): void => settled(() => writePending.immediate());

  function checkpoint(): void {
    commits = 0;
    explained(file, () => db.pragma('wal_checkpoint(PASSIVE)'));
  }

  return {
    *entries(span) {
      try {
        yield* entries.read(span, pending.entries);
      } catch (error) {
        throw storeFault(error, file);
      }
    },
    extent: () => explained(file, () => entries.extent(pending.entries)),
    states: (room) => explained(file, () => states.read(room, pending.states)),
    climate: (span, probe) => explained(file, () => climate.read(span, probe, pending.climate)),
    notes: (filter = {}) => explained(file, () => notes.read(filter)),
    refusals: () => explained(file, refusals.read),
    alerts: (filter = {}) => explained(file, () => alerts.read(filter)),
    deliveries: (dueBefore) => explained(file, () => deliveries.due(dueBefore)),
    size: () => storeBytes(file),
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
