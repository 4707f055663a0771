import { DAY, type Instant, type Span } from '../units/index.ts';
import type { AccountBasis } from './basis.ts';
import type { BookStore } from './entry.ts';
import { remembering } from './remembered.ts';
import { sheetKeys } from './sheet-key.ts';
import { readSheets, sheetsText } from './sheet-text.ts';
import { type DaySheets, energyOf, sheetDrawer } from './sheets.ts';

/** Where the sheets of local days are: in memory, in the store, or to be drawn from the entries. */
export interface SheetShelf {
  /** Of a day that is over at `now`. */
  closed(day: Span, now: Instant): DaySheets;
  /** All the energy of a day that is over at `now`, mWh. */
  energy(day: Span, now: Instant): number;
  /** Of a part of a day, as the entries are now. */
  open(part: Span, now: Instant): DaySheets;
  forget(day: Instant): void;
  forgetAll(): void;
  /** Sheets that hold under the new basis too stay. */
  reconfigure(basis: AccountBasis): void;
}

export interface ShelfOptions {
  /** How many device-days to hold in memory. */
  readonly remembered: number;
  /** How long a day must be over for its sheets to be kept in the store, ms. */
  readonly settled?: number;
}

/**
 * Counters that move in large steps are settled a day and more later, and each time the store lets
 * go of the sheets: younger ones are not worth the wear of the disk.
 */
const SETTLED = 2 * DAY;

interface Held {
  readonly key: string;
  readonly sheets: DaySheets;
}

export function createShelf(
  store: BookStore,
  basis: AccountBasis,
  { remembered, settled = SETTLED }: ShelfOptions,
): SheetShelf {
  let draw = sheetDrawer(basis);
  let keyOf = sheetKeys(basis);
  const days = remembering<Held>(remembered, ({ sheets }) => Math.max(1, sheets.size));
  const energies = new Map<Instant, number>();
  let latest: (Span & { readonly now: Instant; readonly sheets: DaySheets }) | undefined;

  function fetch(day: Span, key: string, now: Instant): DaySheets {
    const kept = store.sheets(day.from, key);
    if (kept !== undefined) return readSheets(kept);
    const sheets = draw(day, store);
    if (day.to <= now - settled) store.keepSheets(day, key, sheetsText(sheets));
    return sheets;
  }

  function closed(day: Span, now: Instant): DaySheets {
    const key = keyOf(day);
    const held = days.get(day.from);
    if (held?.key === key) return held.sheets;
    const sheets = fetch(day, key, now);
    days.set(day.from, { key, sheets });
    return sheets;
  }

  return {
    closed,

    energy(day, now) {
      let energy = energies.get(day.from);
      if (energy === undefined) {
        energy = 0;
        for (const sheet of closed(day, now).values()) energy += energyOf(sheet);
        energies.set(day.from, energy);
      }
      return energy;
    },

    open(part, now) {
      if (latest?.now !== now || latest.from !== part.from || latest.to !== part.to) {
        latest = { ...part, now, sheets: draw(part, store) };
      }
      return latest.sheets;
    },

    forget(day) {
      latest = undefined;
      days.forget(day);
      energies.delete(day);
    },

    forgetAll() {
      latest = undefined;
      days.clear();
      energies.clear();
    },

    reconfigure(next) {
      latest = undefined;
      energies.clear();
      draw = sheetDrawer(next);
      keyOf = sheetKeys(next);
    },
  };
}
