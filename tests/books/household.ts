import {
  type AccountBasis,
  type Correction,
  countedEntries,
  createAccountBook,
  type Entry,
  type HouseInterval,
  type KeptBill,
  publishedPrices,
  type Reconciliation,
  reconcile,
} from '../../src/books/index.ts';
import type { TariffConfig } from '../../src/tariff/config.ts';
import { compileTariffs, type SlotPrice } from '../../src/tariff/index.ts';
import {
  Calendar,
  type Instant,
  type LocalDate,
  type MicroUnits,
  type MilliwattHours,
  microPerKwh,
  microUnits,
  type Span,
} from '../../src/units/index.ts';
import { flat } from '../tariff/tariffs.ts';
import { basisOf, device, memoryStore } from './fish-room.ts';

/** A house that does not exist, and the fish room in its cellar. */
export interface Household {
  readonly zone: string;
  /** First and last local day. */
  readonly days: readonly [string, string];
  readonly tariffs: Readonly<Record<string, TariffConfig>>;
  readonly currency: string;
  readonly devices: AccountBasis['devices'];
  readonly entries: readonly Entry[];
  readonly house: readonly HouseInterval[];
  readonly prices: readonly SlotPrice[];
  readonly corrections: readonly Correction[];
  readonly bill: Partial<KeptBill> | undefined;
}

/** A heater and a lamp, and a day in March 2026. */
export const QUIET: Household = {
  zone: 'America/Winnipeg',
  days: ['2026-03-03', '2026-03-03'],
  tariffs: { lantern: flat(0.2) },
  currency: 'CAD',
  devices: {
    heater: device('heater', 300, { plug: 'rack-1', tank: 'newt' }),
    lamp: device('light', 80, { tank: 'reed' }),
  },
  entries: [],
  house: [],
  prices: [],
  corrections: [],
  bill: undefined,
};

/** From the first local midnight to the one after the last day. */
export function spanOf({ zone, days: [first, last] }: Pick<Household, 'zone' | 'days'>): Span {
  const calendar = new Calendar(zone);
  return {
    from: calendar.dayOf(first as LocalDate).from,
    to: calendar.dayOf(last as LocalDate).to,
  };
}

export const interval = (
  from: Instant,
  to: Instant,
  wattHours: number,
  more: Partial<HouseInterval> = {},
): HouseInterval => ({
  meter: 'main',
  from,
  to,
  energy: Math.round(wattHours * 1000) as MilliwattHours,
  cost: undefined,
  quality: 'valid',
  ...more,
});

/** Intervals of a meter that follow each other. @param wattHours of each, by its number */
export const metered = (
  { from, to }: Span,
  length: number,
  wattHours: (index: number) => number,
  more: Partial<HouseInterval> = {},
): HouseInterval[] =>
  Array.from({ length: (to - from) / length }, (_, index) => {
    const start = (from + index * length) as Instant;
    return interval(start, (start + length) as Instant, wattHours(index), more);
  });

export const billOf = (kwh: number | undefined, total: number | undefined): Partial<KeptBill> => ({
  energy: kwh === undefined ? undefined : ((kwh * 1e6) as MilliwattHours),
  total: total === undefined ? undefined : (microUnits(total) as MicroUnits),
});

export const published = (span: Span, perKwh: number, series = 'day-ahead'): SlotPrice => ({
  series,
  ...span,
  price: microPerKwh(perKwh),
});

/** Reconciles the household once its days are over, from a store and accounts as the daemon has. */
export function reconciled(changes: Partial<Household> = {}): Reconciliation {
  const of = { ...QUIET, ...changes };
  const calendar = new Calendar(of.zone);
  const tariffs = compileTariffs(of.tariffs, calendar, of.currency);
  const basis = basisOf(calendar, tariffs, of.devices);
  const span = spanOf(of);
  const store = memoryStore({ begins: span.from });
  store.book(...of.entries);
  store.correct(...of.corrections);
  store.publish(...of.prices);
  store.meterHouse(...of.house);
  const book = createAccountBook(store, basis);
  return reconcile({
    span,
    calendar,
    tariffs,
    currency: of.currency,
    house: store.house(span),
    entries: countedEntries(span, store, basis),
    days: calendar.dates(span).map((date) => book.account(calendar.dayOf(date), span.to)),
    publishedAt: publishedPrices(store.slotPrices),
    bill: of.bill && keptBill(of.bill, of.days, span.to),
  });
}

const keptBill = (
  bill: Partial<KeptBill>,
  [first, last]: Household['days'],
  made: Instant,
): KeptBill => ({
  number: 1,
  first: first as LocalDate,
  last: last as LocalDate,
  energy: undefined,
  total: undefined,
  note: undefined,
  made,
  withdrawn: undefined,
  ...bill,
});
