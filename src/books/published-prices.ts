import type { SlotPrice } from '../tariff/index.ts';
import { DAY, type Instant, type MicroPerKwh, type Span } from '../units/index.ts';
import type { BookStore } from './entry.ts';

/** The published price of a series that holds at an instant; undefined where there is none. */
export type PublishedAt = (series: string, at: Instant) => MicroPerKwh | undefined;

/** A month of quarter-hours is some 3,000 rows. */
const WINDOW = 32 * DAY;

interface Window extends Span {
  readonly prices: readonly SlotPrice[];
  /** Where the last one was found: instants are mostly asked for in order. */
  next: number;
}

/** Looks prices up in a store, which is asked for a month at once. */
export function publishedPrices(read: BookStore['slotPrices']): PublishedAt {
  const windows = new Map<string, Window>();
  return (series, at) => {
    let window = windows.get(series);
    if (window === undefined || at < window.from || at >= window.to) {
      const span = { from: at, to: (at + WINDOW) as Instant };
      window = { ...span, prices: read(series, span), next: 0 };
      windows.set(series, window);
    }
    const { prices } = window;
    while (window.next > 0 && (prices[window.next]?.from ?? Infinity) > at) window.next -= 1;
    while ((prices[window.next]?.to ?? Infinity) <= at) window.next += 1;
    const found = prices[window.next];
    return found !== undefined && found.from <= at ? found.price : undefined;
  };
}
