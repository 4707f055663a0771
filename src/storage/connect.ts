import { closeSync, openSync, statSync } from 'node:fs';
import { dirname } from 'node:path';
import Database from 'better-sqlite3';
import { CodedError } from '../units/index.ts';
import { explained, storeFault } from './faults.ts';
import { type Lock, lockStore } from './lock.ts';
import { type Migration, migrate, storeVersion } from './migrate.ts';

/** An open SQLite file that is known to be ours and of the newest layout. */
export interface Connection {
  readonly db: Database.Database;
  readonly file: string;
  close(): void;
}

/**
 * Smaller than SQLite's default, because a commit rewrites whole pages: with fifty devices and a
 * commit a second a day writes 0.48 GB with 1 KiB, 0.57 with 2 and 0.75 with 4.
 */
const PAGE_BYTES = 1024;
/** The write-ahead log is brought into the file at this size, about, and kept no longer than it. */
const LOG_BYTES = 16 * 1024 * 1024;
const CACHE_KIBIBYTES = 8 * 1024;
/** How long a reader or a backup may hold a lock before a commit gives up. */
const BUSY_MS = 5_000;
/** Larger stores are not read through after an unclean end: it would hold up the start. */
const CHECKED_BYTES = 64 * 1024 * 1024;

function bytesOf(path: string): number {
  return statSync(path, { throwIfNoEntry: false })?.size ?? 0;
}

/** Bytes on disk: the file and its write-ahead log. */
export const storeBytes = (file: string): number => bytesOf(file) + bytesOf(`${file}-wal`);

function requireFolder(file: string): void {
  const folder = dirname(file);
  if (statSync(folder, { throwIfNoEntry: false })?.isDirectory() === true) return;
  throw new CodedError('AMP_STORE_FOLDER', `the folder '${folder}' for the store does not exist`, {
    remedy: `make it first (mkdir -p '${folder}') and give it to the user who runs ampulla`,
  });
}

function createPrivately(file: string): void {
  try {
    closeSync(openSync(file, 'wx', 0o600));
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code;
    if (code === 'EEXIST') return;
    throw new CodedError(
      code === 'ENOSPC' ? 'AMP_STORE_FULL' : 'AMP_STORE_DENIED',
      `the store '${file}' cannot be made: ${(error as Error).message}`,
      { remedy: 'check the permissions and the free space of its folder', cause: error },
    );
  }
}

/** SQLite repairs an unclean end by itself; this finds what a failing card did besides. */
function checkAfterUncleanEnd(db: Database.Database, file: string): void {
  const verdict = db.pragma('quick_check(1)', { simple: true });
  if (verdict === 'ok') return;
  throw new CodedError('AMP_STORE_CORRUPT', `the store '${file}' is damaged: ${verdict}`, {
    remedy:
      "keep a copy of the file with its '-wal' beside it, put back the last backup, and check the disk or card",
  });
}

function useLog(db: Database.Database, file: string): void {
  if (db.pragma('journal_mode = WAL', { simple: true }) !== 'wal') {
    throw new CodedError(
      'AMP_STORE_NO_LOG',
      `the folder of the store '${file}' cannot hold a write-ahead log`,
      { remedy: 'keep the store on a local disk or card, not on a network share' },
    );
  }
  db.pragma('synchronous = FULL');
  db.pragma(`journal_size_limit = ${LOG_BYTES}`);
  db.pragma(`wal_autocheckpoint = ${LOG_BYTES / PAGE_BYTES}`);
}

/**
 * Opens the store for its one writer; makes it when the file is missing or empty. Nothing is
 * written to a file before it is known to be ours.
 *
 * @throws CodedError AMP_STORE_FOLDER, _DENIED, _IN_USE, _FOREIGN, _TOO_NEW, _CORRUPT, _NO_LOG,
 *   _FULL, _MIGRATION, _IO.
 */
export function connect(file: string, migrations: readonly Migration[]): Connection {
  requireFolder(file);
  const lock: Lock = lockStore(file);
  let db: Database.Database | undefined;
  try {
    createPrivately(file);
    const unclean = bytesOf(`${file}-wal`) > 0 && storeBytes(file) <= CHECKED_BYTES;
    db = new Database(file, { timeout: BUSY_MS });
    storeVersion(db, file, migrations.length);
    if (unclean) checkAfterUncleanEnd(db, file);
    db.pragma(`page_size = ${PAGE_BYTES}`);
    db.pragma(`cache_size = -${CACHE_KIBIBYTES}`);
    useLog(db, file);
    migrate(db, file, migrations);
    db.pragma('foreign_keys = ON');
  } catch (error) {
    db?.close();
    lock.release();
    throw storeFault(error, file);
  }
  const opened = db;
  return {
    db: opened,
    file,
    close() {
      if (!opened.open) return;
      try {
        explained(file, () => opened.pragma('wal_checkpoint(TRUNCATE)'));
      } finally {
        opened.close();
        lock.release();
      }
    },
  };
}

function requireStore(file: string): void {
  requireFolder(file);
  if (bytesOf(file) > 0) return;
  throw new CodedError('AMP_STORE_MISSING', `there is no store '${file}' yet`, {
    remedy: 'check store.file in the config; the daemon makes the store when it first starts',
  });
}

function requireNewest(
  db: Database.Database,
  file: string,
  migrations: readonly Migration[],
): void {
  const version = storeVersion(db, file, migrations.length);
  if (version === migrations.length) return;
  throw new CodedError(
    'AMP_STORE_TOO_OLD',
    `the store '${file}' has layout ${version}, and this program reads layout ${migrations.length}`,
    { remedy: 'start the daemon of this version once: it brings the store up to date' },
  );
}

/**
 * Opens a store for reading beside the daemon that writes it, or alone. It changes nothing and
 * sees the store as of the last commit before it opened. Meant to be closed soon: while it is
 * open, the write-ahead log cannot be emptied.
 *
 * @throws CodedError AMP_STORE_MISSING, AMP_STORE_TOO_OLD, and as connect.
 */
export function connectReader(file: string, migrations: readonly Migration[]): Connection {
  requireStore(file);
  let db: Database.Database | undefined;
  try {
    db = new Database(file, { readonly: true, fileMustExist: true, timeout: BUSY_MS });
    // One read transaction, so that the journal and the tables belong together.
    db.exec('BEGIN');
    requireNewest(db, file, migrations);
  } catch (error) {
    db?.close();
    throw storeFault(error, file);
  }
  const opened = db;
  return { db: opened, file, close: () => void opened.close() };
}

/**
 * Opens a store for a command that writes beside the daemon, or alone. It takes no lock, and makes
 * and updates nothing: only the daemon does.
 *
 * @throws CodedError AMP_STORE_MISSING, AMP_STORE_TOO_OLD, and as connect.
 */
export function connectClerk(file: string, migrations: readonly Migration[]): Connection {
  requireStore(file);
  let db: Database.Database | undefined;
  try {
    db = new Database(file, { fileMustExist: true, timeout: BUSY_MS });
    requireNewest(db, file, migrations);
    db.pragma(`cache_size = -${CACHE_KIBIBYTES}`);
    useLog(db, file);
    db.pragma('foreign_keys = ON');
  } catch (error) {
    db?.close();
    throw storeFault(error, file);
  }
  const opened = db;
  return { db: opened, file, close: () => void opened.close() };
}
