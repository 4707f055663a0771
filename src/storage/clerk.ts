import type { HouseInterval } from '../books/index.ts';
import { CodedError, type Instant } from '../units/index.ts';
import type { NewBill } from './bills.ts';
import { type Connection, connectClerk } from './connect.ts';
import type { NewCorrection } from './corrections.ts';
import { courtesy } from './courtesy.ts';
import { explained, storeFault } from './faults.ts';
import type { NewImport } from './imports.ts';
import { booksChanged, type Keeping, keepingIn } from './keeping.ts';
import { migrations } from './migrations/index.ts';
import { readingOf, type StoreReader } from './reading.ts';
import type { Taken, Withdrawal } from './records.ts';
import { tablesIn } from './tables.ts';

/**
 * A second writer beside the running daemon, or alone: for commands. It writes what keepers enter
 * and import, and never entries, states or alerts. Each method is a transaction of its own, all or
 * nothing; the daemon's commits wait meanwhile, for some tenths of a second with a year of values.
 * A change lets go of the sheets that it touches, in the same transaction.
 */
export interface Clerk extends StoreReader, Keeping {
  /**
   * Runs `work` in one transaction: all that it writes is kept or nothing, and what it reads does
   * not change meanwhile. The daemon cannot commit until it returns: a second at the very most.
   */
  together<T>(work: () => T): T;
  /**
   * Keeps what the house's meters counted. The same meter and span again is not added twice: it
   * changes what differs, and the former values stay on record.
   *
   * @param source where they came from, in words that name it to the keeper
   * @throws CodedError AMP_STORE_HOUSE_OVERLAP when one lies over another with other bounds
   */
  addHouse(intervals: readonly HouseInterval[], source: string, at: Instant): Taken;
  /** @returns its number */
  addCorrection(correction: NewCorrection): number;
  /** @throws CodedError AMP_STORE_NO_RECORD, AMP_STORE_WITHDRAWN */
  withdrawCorrection(number: number, withdrawal: Withdrawal): void;
  /** @returns its number */
  addBill(bill: NewBill): number;
  /** @throws CodedError AMP_STORE_NO_RECORD, AMP_STORE_WITHDRAWN */
  withdrawBill(number: number, withdrawal: Withdrawal): void;
  /**
   * Records which file was imported; within `together` with what was in it.
   *
   * @returns its number
   */
  addImport(imported: NewImport): number;
  /**
   * Asks something of the running daemon; `answerTo` says what became of it.
   *
   * @returns its number
   */
  addRequest(request: object, at: Instant): number;
}

/**
 * Opens an existing store of the newest layout for a command.
 *
 * @throws CodedError AMP_STORE_*, see connectClerk.
 */
export function openClerk({ file }: { readonly file: string }): Clerk {
  const connection = connectClerk(file, migrations);
  try {
    return clerkOver(connection);
  } catch (error) {
    connection.close();
    throw storeFault(error, file);
  }
}

function clerkOver({ db, file, close }: Connection): Clerk {
  const tables = tablesIn(db);
  const { names, journal, corrections, bills, house, imports } = tables;
  // Another number after every commit of another connection, and only then.
  const selectVersion = db.prepare<[], number>('PRAGMA data_version').pluck();
  let version: number | undefined;

  /** The daemon goes on writing: what memory holds of its journal must fit the tables as they are. */
  function read<T>(work: () => T): T {
    return explained(file, () =>
      db.transaction(() => {
        const now = selectVersion.get();
        if (now !== version) {
          names.refresh();
          journal.refresh();
          version = now;
        }
        return work();
      })(),
    );
  }

  const { before, after } = courtesy();

  function write<T>(work: () => T): T {
    if (db.inTransaction) return db.transaction(work)();
    before();
    try {
      return explained(file, () => db.transaction(work).immediate());
    } catch (error) {
      throw busyFault(error, file);
    } finally {
      after();
    }
  }

  return {
    ...readingOf(file, tables, read),
    ...keepingIn(tables, write),
    together: write,
    addHouse: (intervals, source, at) =>
      write(() => {
        const taken = house.add(intervals, source, at);
        if (taken.added + taken.changed > 0) booksChanged(tables, []);
        return taken;
      }),
    addCorrection: (correction) =>
      write(() => {
        const number = corrections.add(correction);
        booksChanged(tables, [correction.span]);
        return number;
      }),
    withdrawCorrection: (number, withdrawal) =>
      write(() => {
        const { span } = corrections.withdraw(number, withdrawal);
        booksChanged(tables, [span]);
      }),
    addBill: (bill) => write(() => bills.add(bill)),
    withdrawBill: (number, withdrawal) => write(() => bills.withdraw(number, withdrawal)),
    addImport: (imported) => write(() => imports.add(imported)),
    addRequest: (request, at) => write(() => tables.requests.add(request, at)),
    close,
  };
}

function busyFault(error: unknown, file: string): unknown {
  if (!(error instanceof CodedError) || error.code !== 'AMP_STORE_IN_USE') return error;
  return new CodedError('AMP_STORE_IN_USE', `the store '${file}' is being written all the time`, {
    remedy: 'nothing was changed; try again in a moment',
    cause: error,
  });
}
