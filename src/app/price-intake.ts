import type { Store } from '../storage/index.ts';
import type { SlotPrice } from '../tariff/index.ts';
import { CodedError, type Instant, type Logger } from '../units/index.ts';

/** Published prices from the broker go to the store at once; what it does not take now waits. */
export interface PriceIntake {
  take(prices: readonly SlotPrice[], at: Instant): void;
  /** Tries again what is waiting. */
  retry(at: Instant): void;
}

/** A week of quarter-hours, several times over. */
const MOST_WAITING = 5_000;

export function createPriceIntake(store: Store, logger: Logger): PriceIntake {
  let waiting: readonly SlotPrice[] = [];

  function keep(prices: readonly SlotPrice[], at: Instant): void {
    try {
      const { added, changed } = store.addSlotPrices(prices, at);
      waiting = [];
      if (added + changed > 0) logger.info({ added, changed }, 'prices came from the broker');
    } catch (error) {
      const code = error instanceof CodedError ? error.code : undefined;
      if (code !== 'AMP_STORE_FULL' && code !== 'AMP_STORE_IN_USE') throw error;
      if (waiting.length === 0) logger.warn({ code }, 'the store takes no prices now; they wait');
      waiting = prices.slice(-MOST_WAITING);
    }
  }

  return {
    take(prices, at) {
      if (prices.length > 0) keep([...waiting, ...prices], at);
    },
    retry(at) {
      if (waiting.length > 0) keep(waiting, at);
    },
  };
}
