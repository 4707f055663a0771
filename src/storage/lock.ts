import Database from 'better-sqlite3';
import { CodedError } from '../units/index.ts';
import { storeFault } from './faults.ts';

export interface Lock {
  release(): void;
}

/**
 * Keeps a second daemon away from the store, and lets readers in: the lock lies on an empty file
 * of its own, 'FILE.lock', and the system drops it when the process dies, however it dies. The file
 * stays behind: deleting it would let two daemons each lock a different one.
 *
 * @throws CodedError AMP_STORE_IN_USE when another process holds it.
 */
export function lockStore(file: string): Lock {
  const lockFile = `${file}.lock`;
  let db: Database.Database | undefined;
  try {
    db = new Database(lockFile, { timeout: 0 });
    db.exec('BEGIN EXCLUSIVE');
    const held = db;
    return { release: () => void held.close() };
  } catch (error) {
    db?.close();
    const fault = storeFault(error, lockFile);
    if (!(fault instanceof CodedError) || fault.code !== 'AMP_STORE_IN_USE') throw fault;
    throw new CodedError(
      'AMP_STORE_IN_USE',
      `another daemon is already writing to the store '${file}'`,
      {
        remedy: 'stop the other one first, or give this one a file of its own with store.file',
        cause: error,
      },
    );
  }
}
