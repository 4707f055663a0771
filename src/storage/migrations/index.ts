import type { Migration } from '../migrate.ts';
import { books } from './0001-books.ts';
import { balance } from './0002-balance.ts';

/** Every version of the store's layout, in order. What was released is never edited. */
export const migrations: readonly Migration[] = [books, balance];
