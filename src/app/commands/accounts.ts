import {
  type AccountBasis,
  type AccountBook,
  type BookStore,
  createAccountBook,
} from '../../books/index.ts';
import type { StoreReader } from '../../storage/index.ts';
import type { Instant } from '../../units/index.ts';
import { createSystemClock } from '../clock.ts';
import { basisOf, sameTerms, type Terms, termsOf } from '../terms.ts';
import type { CommandBooks } from './command-books.ts';

/** Accounts as the daemon's pages have them. */
export interface Accounts {
  readonly basis: AccountBasis;
  readonly book: AccountBook;
  readonly now: Instant;
}

/** The terms in force; of books that no daemon has run with yet, those of the file. */
export const termsInForce = (reader: StoreReader, { config }: CommandBooks): Terms =>
  (reader.states('app').get('terms') as Terms | undefined) ?? termsOf(config);

/** Accounts by the terms in force; says so where the file's are others. */
export function openAccounts(store: BookStore & StoreReader, books: CommandBooks): Accounts {
  const terms = termsInForce(store, books);
  if (!sameTerms(terms, termsOf(books.config))) {
    process.stderr.write(
      `ampulla: tariffs or devices in ${books.file} differ from those in force; ampulla reprice shows what they would change\n`,
    );
  }
  const basis = basisOf(terms);
  return { basis, book: createAccountBook(store, basis), now: createSystemClock().now() };
}
