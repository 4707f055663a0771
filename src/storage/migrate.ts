import { closeSync, fsyncSync, openSync, renameSync, rmSync, statfsSync } from 'node:fs';
import { dirname } from 'node:path';
import type { Database } from 'better-sqlite3';
import { CodedError } from '../units/index.ts';
import { explained } from './faults.ts';

/** One step of the store's layout. Released steps are never edited, only followed by others. */
export interface Migration {
  /** 1, 2, 3 …; the store's user_version after it. */
  readonly version: number;
  readonly what: string;
  readonly sql: string;
}

/** Says in the file's header that a SQLite file is one of ours: 'AMPU'. */
export const APPLICATION_ID = 0x414d_5055;

/** Beside the copy, a step may have to write the largest table a second time. */
const SPARE_BYTES = 16 * 1024 * 1024;

export interface MigrateOptions {
  /** Free bytes in the folder for this user. */
  readonly freeBytes?: (folder: string) => number;
}

function freeBytesOf(folder: string): number {
  const { bavail, bsize } = statfsSync(folder);
  return bavail * bsize;
}

const number = (db: Database, pragma: string): number =>
  Number(db.pragma(pragma, { simple: true }));

/** True for a file that SQLite has not written any table to. */
function isBlank(db: Database): boolean {
  return db.prepare('SELECT 1 FROM sqlite_schema LIMIT 1').get() === undefined;
}

/**
 * The layout's version of a store; 0 for a file that is still blank. Reads only.
 *
 * @throws CodedError AMP_STORE_FOREIGN when another program made the file, AMP_STORE_TOO_NEW when
 *   a newer ampulla did.
 */
export function storeVersion(db: Database, file: string, newest: number): number {
  const application = number(db, 'application_id');
  if (application !== APPLICATION_ID) {
    if (application === 0 && isBlank(db)) return 0;
    throw new CodedError('AMP_STORE_FOREIGN', `'${file}' is a database of another program`, {
      remedy: 'name another file with store.file; this one was left as it is',
    });
  }
  const version = number(db, 'user_version');
  if (version > newest) {
    throw new CodedError(
      'AMP_STORE_TOO_NEW',
      `the store '${file}' has layout ${version}, and this program knows layouts up to ${newest}`,
      {
        remedy: `install the newer ampulla again, or put back the copy '${file}.before-${newest}' if there is one; the store was left as it is`,
      },
    );
  }
  return version;
}

function syncFile(path: string): void {
  const handle = openSync(path, 'r');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

/**
 * Copies the store to 'FILE.before-N' before its layout changes. VACUUM INTO, not the backup API:
 * it is synchronous, and while the store opens nothing else runs that a long copy could hold up.
 */
function keepCopy(db: Database, file: string, version: number, free: number): void {
  const bytes = number(db, 'page_count') * number(db, 'page_size');
  const needed = 2 * bytes + SPARE_BYTES;
  if (free < needed) {
    throw new CodedError(
      'AMP_STORE_FULL',
      `the store '${file}' needs ${Math.ceil(needed / 1e6)} MB of free space to be brought to a new layout, and ${Math.floor(free / 1e6)} MB are left`,
      { remedy: 'free some disk space and start again; the store was left as it is' },
    );
  }
  const copy = `${file}.before-${version}`;
  const unfinished = `${copy}.unfinished`;
  rmSync(unfinished, { force: true });
  // Made first, so that it is never readable by others, not even for a moment.
  closeSync(openSync(unfinished, 'wx', 0o600));
  db.prepare('VACUUM INTO ?').run(unfinished);
  syncFile(unfinished);
  renameSync(unfinished, copy);
  syncFile(dirname(file));
}

function checkOrder(migrations: readonly Migration[]): void {
  for (const [index, migration] of migrations.entries()) {
    if (migration.version !== index + 1) {
      throw new CodedError(
        'AMP_STORE_FAILED',
        `migration ${migration.version} stands where ${index + 1} belongs`,
        { remedy: 'this is a mistake in the program: please report it' },
      );
    }
  }
}

/**
 * Brings a store to the newest layout: one transaction a step, each all or nothing, after a copy
 * of a store that already holds data. A step runs without foreign keys, so that it may rebuild a
 * table, and they are checked before it counts.
 *
 * @throws CodedError AMP_STORE_FULL, AMP_STORE_MIGRATION, and what storeVersion throws.
 */
export function migrate(
  db: Database,
  file: string,
  migrations: readonly Migration[],
  { freeBytes = freeBytesOf }: MigrateOptions = {},
): void {
  checkOrder(migrations);
  const version = storeVersion(db, file, migrations.length);
  const steps = migrations.slice(version);
  if (steps.length === 0) return;
  if (version > 0) explained(file, () => keepCopy(db, file, version, freeBytes(dirname(file))));

  db.pragma('foreign_keys = OFF');
  for (const step of steps) {
    try {
      db.transaction(() => {
        db.exec(step.sql);
        const broken = db.pragma('foreign_key_check') as unknown[];
        if (broken.length > 0) throw new Error(`${broken.length} rows refer to nothing`);
        db.pragma(`application_id = ${APPLICATION_ID}`);
        db.pragma(`user_version = ${step.version}`);
      }).immediate();
    } catch (cause) {
      const copy = version > 0 ? ` A copy from before is '${file}.before-${version}'.` : '';
      throw new CodedError(
        'AMP_STORE_MIGRATION',
        `the store '${file}' could not be brought to layout ${step.version} (${step.what}): ${cause instanceof Error ? cause.message : cause}`,
        {
          remedy: `nothing of this step was kept; go back to the ampulla that ran before and report this message.${copy}`,
          cause,
        },
      );
    }
  }
  db.pragma('foreign_keys = ON');
}
