import type { AccountBasis, AccountBook, BookStore } from '../books/index.ts';
import { type Instant, later, type MicroPerKwh, SLOT, slotOf } from '../units/index.ts';
import { slotPrices } from './slot-price.ts';

/** What a kilowatt-hour costs now. */
export interface RateNow {
  readonly name: string;
  /** Undefined while the price of this slot has not been published. */
  readonly perKwh: MicroPerKwh | undefined;
  /** Whether it depends on what the month will have used. */
  readonly provisional: boolean;
}

/** Undefined before the first tariff. */
export function rateNow(
  basis: AccountBasis,
  books: AccountBook,
  store: BookStore,
  now: Instant,
): RateNow | undefined {
  const slot = slotOf(now);
  const rate = basis.tariffs.rateAt(slot);
  if (rate === undefined) return undefined;
  return {
    name: rate.name,
    perKwh: slotPrices(basis, books, store, { from: slot, to: later(slot, SLOT) }, now)(slot),
    provisional: rate.price.kind === 'blocks',
  };
}
