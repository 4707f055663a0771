import { CodedError } from '../units/index.ts';

/** SQLite's own code, such as 'SQLITE_FULL', where the error carries one. */
function sqliteCode(error: unknown): string | undefined {
  if (!(error instanceof Error) || !('code' in error)) return undefined;
  return typeof error.code === 'string' && error.code.startsWith('SQLITE_')
    ? error.code
    : undefined;
}

/**
 * What SQLite reported, as a coded error that names the file and says what to do. Errors that are
 * not SQLite's come back as they are.
 */
export function storeFault(error: unknown, file: string): unknown {
  const code = sqliteCode(error);
  if (code === undefined) return error;
  const fault = (word: `AMP_STORE_${string}`, message: string, remedy: string) =>
    new CodedError(word, `${message} (${code})`, { remedy, cause: error });

  if (code === 'SQLITE_FULL') {
    return fault(
      'AMP_STORE_FULL',
      `there is no room left to write to the store '${file}'`,
      'free some disk space; what could not be written is kept and tried again',
    );
  }
  if (code === 'SQLITE_NOTADB' || code.startsWith('SQLITE_CORRUPT')) {
    return fault(
      'AMP_STORE_CORRUPT',
      `the store '${file}' is damaged, or is no store at all`,
      "stop the program, keep a copy of the file with its '-wal' beside it, put back the last backup, and check the disk or card",
    );
  }
  if (code.startsWith('SQLITE_BUSY') || code.startsWith('SQLITE_LOCKED')) {
    return fault(
      'AMP_STORE_IN_USE',
      `another program holds the store '${file}'`,
      'stop the other program, or give this one a file of its own with store.file',
    );
  }
  if (/^SQLITE_(CANTOPEN|READONLY|PERM|AUTH)/.test(code)) {
    return fault(
      'AMP_STORE_DENIED',
      `the store '${file}' may not be opened or written`,
      'check the owner and the permissions of the file and of its folder',
    );
  }
  if (code.startsWith('SQLITE_IOERR')) {
    return fault(
      'AMP_STORE_IO',
      `the disk failed while using the store '${file}'`,
      'check the disk or card, its connection and its free space; what could not be written is kept and tried again',
    );
  }
  return fault(
    'AMP_STORE_FAILED',
    `the store '${file}' refused: ${(error as Error).message}`,
    'this is a mistake in the program: please report it with this message',
  );
}

/** Runs `work`; what SQLite throws leaves as a coded error. */
export function explained<T>(file: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    throw storeFault(error, file);
  }
}
