import type { DeviceConfig } from '../../src/books/config.ts';
import {
  type Account,
  type AccountBasis,
  type BookStore,
  type Correction,
  createAccountBook,
  type DevicePosting,
  type Entry,
  type HouseInterval,
  stripsFrom,
} from '../../src/books/index.ts';
import { compileShares } from '../../src/shares/index.ts';
import type { SlotPrice, TariffBook } from '../../src/tariff/index.ts';
import {
  type Calendar,
  type Instant,
  instant,
  later,
  type Millis,
  type MilliwattHours,
  SLOT,
  type Span,
} from '../../src/units/index.ts';

export const at = (iso: string): Instant => instant(Date.parse(iso));

/** A device of a fish room that does not exist. */
export const device = (
  kind: DeviceConfig['kind'],
  nameplate_w: number,
  more: Partial<DeviceConfig> = {},
): DeviceConfig => ({ kind, nameplate_w, ...more });

/** A whole slot of a device, counted unless told otherwise. */
export const entry = (
  slot: Instant,
  name: string,
  energy: number,
  more: Partial<Entry> = {},
): Entry => ({
  slot,
  device: name,
  known: 'counted',
  energy: energy as MilliwattHours,
  spread: 0 as MilliwattHours,
  covered: SLOT,
  drawing: 0 as Millis,
  ...more,
});

export interface MemoryStore extends BookStore {
  book(...postings: readonly DevicePosting[]): void;
  correct(...corrections: readonly Correction[]): void;
  publish(...prices: readonly SlotPrice[]): void;
  meterHouse(...intervals: readonly HouseInterval[]): void;
  /** The spans that were read, in order. */
  readonly read: Span[];
  /** How many sheets of days stand in it. */
  readonly keptSheets: number;
}

export interface MemoryStoreOptions {
  /** Where the books say that they begin; with their first entry unless told. */
  readonly begins?: Instant;
  /** Whether sheets are kept, as a store does that may be written. */
  readonly keeps?: boolean;
}

const touches = (a: Span, b: Span): boolean => a.from < b.to && a.to > b.from;

/** A BookStore that keeps each posting as it came. */
export function memoryStore({ begins, keeps = true }: MemoryStoreOptions = {}): MemoryStore {
  const entries: Entry[] = [];
  const corrections: Correction[] = [];
  const prices: SlotPrice[] = [];
  const house: HouseInterval[] = [];
  const kept: { readonly day: Span; readonly key: string; readonly sheets: string }[] = [];
  const read: Span[] = [];
  let edition = 0;

  function dropSheets(span: Span): void {
    for (let index = kept.length - 1; index >= 0; index -= 1) {
      if (touches((kept[index] as (typeof kept)[number]).day, span)) kept.splice(index, 1);
    }
  }

  function change<T>(all: T[], more: readonly T[], span: (one: T) => Span): void {
    all.push(...more);
    edition += 1;
    for (const one of more) dropSheets(span(one));
  }

  return {
    read,
    get keptSheets() {
      return kept.length;
    },
    book: (...postings) => {
      entries.push(...postings);
      entries.sort((a, b) => a.slot - b.slot || (a.device < b.device ? -1 : 1));
      for (const { slot } of postings) dropSheets({ from: slot, to: later(slot, SLOT) });
    },
    correct: (...more) => change(corrections, more, ({ span }) => span),
    publish: (...more) => {
      change(prices, more, (price) => price);
      prices.sort((a, b) => a.from - b.from);
    },
    meterHouse: (...more) => change(house, more, ({ from }) => ({ from, to: from })),
    entries: (span) => {
      read.push(span);
      return entries.filter(({ slot }) => slot >= span.from && slot < span.to);
    },
    extent: () => {
      const [first] = entries;
      const last = entries.at(-1);
      if (first === undefined || last === undefined) {
        return begins === undefined ? undefined : { from: begins, to: begins };
      }
      return { from: begins ?? first.slot, to: later(last.slot, SLOT) };
    },
    corrections: (span) =>
      corrections.filter((one) => one.withdrawn === undefined && touches(one.span, span)),
    slotPrices: (series, span) =>
      prices.filter((price) => price.series === series && touches(price, span)),
    house: (span) => house.filter((interval) => touches(interval, span)),
    edition: () => edition,
    sheets: (day, key) => kept.findLast((one) => one.day.from === day && one.key === key)?.sheets,
    keepSheets: (day, key, sheets) => {
      if (keeps) kept.push({ day, key, sheets });
    },
  };
}

/** A basis for devices of a fish room whose plugs each feed one of them. */
export const basisOf = (
  calendar: Calendar,
  tariffs: TariffBook,
  devices: AccountBasis['devices'],
  more: Partial<AccountBasis> = {},
): AccountBasis => ({
  calendar,
  tariffs,
  devices,
  shares: compileShares(devices, {}, calendar),
  strips: stripsFrom(devices, {}),
  ...more,
});

/** The account of these entries alone, of books that begin with the span unless told. */
export function draw(
  span: Span,
  entries: readonly Entry[],
  basis: AccountBasis,
  { now = span.to, since = span.from }: { now?: Instant; since?: Instant } = {},
): Account {
  const store = memoryStore({ begins: since, keeps: false });
  store.book(...entries);
  return createAccountBook(store, basis, 0).account(span, now);
}
