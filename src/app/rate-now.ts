import type { AccountBasis, AccountBook, BookStore } from '../books/index.ts';
import { type Instant, later, type MicroPerKwh, SLOT, slotOf } from '../units/index.ts';

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
  { tariffs }: AccountBasis,
  books: AccountBook,
  store: BookStore,
  now: Instant,
): RateNow | undefined {
  const tariff = tariffs.tariffAt(now);
  const rate = tariffs.rateAt(now);
  if (tariff === undefined || rate === undefined) return undefined;
  const { name, price } = rate;
  switch (price.kind) {
    case 'fixed':
      return { name, perKwh: price.perKwh, provisional: false };
    case 'blocks': {
      const perKwh = books.blockUse(now, now)?.prices.get(rate.key)?.[tariff.blocksAt];
      return { name, perKwh, provisional: true };
    }
    case 'slots': {
      const slot = slotOf(now);
      const span = { from: slot, to: later(slot, SLOT) };
      const [published] = tariff.series === undefined ? [] : store.slotPrices(tariff.series, span);
      const perKwh = published === undefined ? undefined : tariff.slotPrice(published.price);
      return { name, perKwh, provisional: false };
    }
  }
}
