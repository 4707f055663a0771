import { existsSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { CodedError } from '../../units/index.ts';

/** Where a demo keeps its books while it runs, and perhaps longer. */
export interface BooksFolder {
  readonly store: string;
  /** Removes the folder if it was a temporary one. */
  leave(): void;
}

/** @throws CodedError AMP_DEMO_KEEP when the folder holds books already, or cannot be made. */
export function openBooksFolder(keep: string | undefined): BooksFolder {
  if (keep === undefined) {
    const folder = mkdtempSync(join(tmpdir(), 'ampulla-demo-'));
    return {
      store: join(folder, 'ampulla.db'),
      leave: () => rmSync(folder, { recursive: true, force: true }),
    };
  }
  const folder = resolve(keep);
  const store = join(folder, 'ampulla.db');
  try {
    mkdirSync(folder, { recursive: true });
  } catch (cause) {
    throw new CodedError('AMP_DEMO_KEEP', `cannot make the folder '${folder}'`, {
      remedy: 'name a folder that you may write to with --keep DIR',
      cause,
    });
  }
  // The history would be booked a second time.
  if (existsSync(store)) {
    throw new CodedError('AMP_DEMO_KEEP', `there are books in '${folder}' already`, {
      remedy: 'name an empty folder with --keep DIR; these were left as they are',
    });
  }
  return { store, leave: () => {} };
}
