import {
  type AccountBasis,
  type AccountBook,
  type BookStore,
  publishedPrices,
} from '../books/index.ts';
import type { Instant, MicroPerKwh, Span } from '../units/index.ts';

/** What a kilowatt-hour costs in the slot that begins at `at`; undefined where nothing tells it. */
export type PriceAt = (at: Instant) => MicroPerKwh | undefined;

/**
 * Prices of the slots of a span as they are known at `now`: with blocks, what the billing month
 * comes to so far; by the slot, what has been published. Made anew for each round of questions,
 * since both move.
 */
export function slotPrices(
  { tariffs }: Pick<AccountBasis, 'tariffs'>,
  books: Pick<AccountBook, 'blockUse'>,
  store: Pick<BookStore, 'slotPrices'>,
  span: Span,
  now: Instant,
): PriceAt {
  const publishedAt = publishedPrices((series, { from }) =>
    store.slotPrices(series, { from, to: span.to }),
  );
  const months = new Map<Instant, ReturnType<typeof books.blockUse>>();
  const known = new Map<Instant, MicroPerKwh | undefined>();

  function reckoned(at: Instant): MicroPerKwh | undefined {
    const tariff = tariffs.tariffAt(at);
    const rate = tariffs.rateAt(at);
    if (tariff === undefined || rate === undefined) return undefined;
    switch (rate.price.kind) {
      case 'fixed':
        return rate.price.perKwh;
      case 'blocks': {
        const { from } = tariff.month(at);
        if (!months.has(from)) months.set(from, books.blockUse(at, now));
        return months.get(from)?.prices.get(rate.key)?.[tariff.blocksAt];
      }
      case 'slots': {
        const published = tariff.series === undefined ? undefined : publishedAt(tariff.series, at);
        return published === undefined ? undefined : tariff.slotPrice(published);
      }
    }
  }

  return (at) => {
    if (!known.has(at)) known.set(at, reckoned(at));
    return known.get(at);
  };
}
