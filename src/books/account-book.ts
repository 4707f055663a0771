import type { Instant, Span } from '../units/index.ts';
import { type Account, accountOf } from './account.ts';
import type { AccountBasis } from './basis.ts';
import type { BlocksAt, BlockUse } from './blocks.ts';
import type { BookStore } from './entry.ts';
import { createLedgerBook } from './ledger-book.ts';
import { createShelf } from './sheet-shelf.ts';

/** Answers for any span, and remembers the local days that are over. */
export interface AccountBook {
  /**
   * The account of a span up to `now`: the sum of its local days. Entries belong to the span that
   * their slot begins in.
   * @param how.blocksAt how blocks are priced, where not as the tariff says
   */
  account(span: Span, now: Instant, how?: { readonly blocksAt?: BlocksAt | undefined }): Account;
  /**
   * What the block prices of the billing month that holds `at` rest on; undefined where its tariff
   * has no blocks.
   */
  blockUse(at: Instant, now: Instant): BlockUse | undefined;
  /** To be called when a posting to this slot has reached the store. */
  touched(slot: Instant): void;
  /** Another config: every account is drawn up anew, from sheets as far as they still hold. */
  reconfigure(basis: AccountBasis): void;
}

/** Some 20 MB each for sheets and ledgers: a year and more of the usual forty devices. */
const REMEMBERED_DEVICE_DAYS = 20_000;

/** @param remembered how many device-days to hold in memory */
export function createAccountBook(
  store: BookStore,
  basis: AccountBasis,
  remembered: number = REMEMBERED_DEVICE_DAYS,
): AccountBook {
  const shelf = createShelf(store, basis, { remembered });
  const ledgers = createLedgerBook(store, shelf, basis, remembered);
  return {
    account: (span, now, { blocksAt } = {}) => accountOf(span, ledgers.ledger(span, now, blocksAt)),
    blockUse: ledgers.blockUse,
    touched: ledgers.touched,
    reconfigure: ledgers.reconfigure,
  };
}
