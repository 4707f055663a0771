import type { SlotPrice } from '../tariff/index.ts';
import { CodedError, type Instant, type Span } from '../units/index.ts';
import type { Taken } from './records.ts';
import type { Tables } from './tables.ts';

/** What the daemon and commands beside it both write. */
export interface Keeping {
  /**
   * Keeps published prices, all or none, in any order and however often they come.
   *
   * @param at when they came: dates the former prices where some change
   */
  addSlotPrices(prices: readonly SlotPrice[], at: Instant): Taken;
  /** See BookStore. */
  keepSheets(day: Span, key: string, sheets: string): void;
}

/** @param write runs `work` in a transaction in which no other connection can write */
export function keepingIn(tables: Tables, write: <T>(work: () => T) => T): Keeping {
  const { slotPrices, sheets, awaitedSheets } = tables;
  return {
    addSlotPrices: (prices, at) =>
      write(() => {
        const { taken, touched } = slotPrices.add(prices, at);
        if (touched.length > 0) booksChanged(tables, touched);
        return taken;
      }),
    keepSheets(day, key, text) {
      try {
        write(() => {
          if (awaitedSheets.arrived(day, key)) sheets.keep(day, key, text);
        });
      } catch (error) {
        if (!(error instanceof CodedError) || !canWait(error.code)) throw error;
      }
    },
  };
}

/** Sheets only spare time: a disk that takes nothing now is no reason to show no figures. */
const canWait = (code: string): boolean => code === 'AMP_STORE_IN_USE' || code === 'AMP_STORE_FULL';

/** Within the transaction of a change that is none of entries: what was drawn there holds no longer. */
export function booksChanged(tables: Tables, spans: Iterable<Span>): void {
  tables.edition.next();
  tables.sheets.drop(spans);
  tables.awaitedSheets.changed();
}
