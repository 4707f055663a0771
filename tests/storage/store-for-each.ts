import { afterEach, beforeEach } from 'vitest';
import { openStore, type Store } from '../../src/storage/index.ts';
import { scratchFolder } from './scratch.ts';

/** Gives each test of a file a new store of its own, which is closed and gone after it. */
export function storeForEach(use: (store: Store) => void): void {
  let folder: ReturnType<typeof scratchFolder>;
  let store: Store;
  beforeEach(() => {
    folder = scratchFolder();
    store = openStore({ file: `${folder.path}/books.db` });
    use(store);
  });
  afterEach(() => {
    store.close();
    folder.remove();
  });
}
