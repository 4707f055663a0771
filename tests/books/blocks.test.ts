import { describe, expect, test } from 'vitest';
import { type AccountBasis, createAccountBook, type HouseInterval } from '../../src/books/index.ts';
import { compileTariffs } from '../../src/tariff/index.ts';
import {
  Calendar,
  DAY,
  HOUR,
  type Instant,
  type LocalDate,
  later,
  type MilliwattHours,
  type Span,
} from '../../src/units/index.ts';
import { tariffOf } from '../tariff/tariffs.ts';
import { at, basisOf, device, entry, memoryStore } from './fish-room.ts';

const calendar = new Calendar('America/Phoenix');
const april = calendar.month(at('2026-04-15T12:00Z')); // 30 days of 24 hours
const day = (date: string): Span => calendar.dayOf(date as LocalDate);
const kwh = (amount: number): MilliwattHours => (amount * 1_000_000) as MilliwattHours;
const afterwards = later(april.to, 12 * HOUR);

/** 0.10 for the first 100 kWh of the house in a month, 0.20 for the next 200, 0.40 beyond. */
const rising = (pricedAt: 'average' | 'marginal', more = {}) =>
  tariffOf(
    {
      kind: 'flat',
      prices_per_kwh: [0.1, 0.2, 0.4],
      blocks: { ends_kwh: [100, 300], priced_at: pricedAt },
    },
    more,
  );

const basis = (
  otherKwh: number | undefined,
  pricedAt: 'average' | 'marginal' = 'average',
): AccountBasis =>
  basisOf(
    calendar,
    compileTariffs({ rising: rising(pricedAt) }, calendar, 'USD'),
    { pump: device('pump', 400, { plug: 'plug-1', tank: 'newt' }) },
    { otherPerMonth: otherKwh === undefined ? undefined : kwh(otherKwh) },
  );

/** A pump that draws as much each day of April, in one slot at noon, up to the day of `until`. */
function openBook(kwhPerDay: number, on: AccountBasis, until: Instant = april.to) {
  const store = memoryStore({ begins: april.from });
  for (let at = april.from; at < until; at = calendar.day(at).to) {
    store.book(entry(later(at, 12 * HOUR), 'pump', kwh(kwhPerDay)));
  }
  return { store, book: createAccountBook(store, on) };
}

const interval = (from: Instant, to: Instant, amount: number, meter = 'main'): HouseInterval => ({
  meter,
  from,
  to,
  energy: kwh(amount),
  cost: undefined,
  quality: 'valid',
});

describe('a month with blocks that is over', () => {
  // Fish room 120 kWh, the rest of the house 280: 100 × 0.1 + 200 × 0.2 + 100 × 0.4 = 90.
  test('is priced at what the whole house paid for a kWh: 90 / 400 = 0.225', () => {
    const { book } = openBook(4, basis(280));
    const { site, provisional } = book.account(april, afterwards);
    expect(site).toMatchObject({ energy: kwh(120), cost: 27_000_000 });
    expect(provisional).toBe(false);
  });

  // On top of 280: 20 × 0.2 + 100 × 0.4 = 44, so 44 / 120 = 0.366667 a kWh, a day 4 × that.
  test('or at what it costs on top of the rest', () => {
    const { book } = openBook(4, basis(280, 'marginal'));
    expect(book.account(april, afterwards).site.cost).toBe(30 * 1_466_668);
  });

  test('both can be asked for, whichever the tariff says', () => {
    const { book } = openBook(4, basis(280));
    for (const _ of [1, 2]) {
      const ask = (blocksAt: 'average' | 'marginal') =>
        book.account(april, afterwards, { blocksAt }).site.cost;
      expect([ask('average'), ask('marginal')]).toEqual([27_000_000, 44_000_040]);
    }
  });

  test('says what its prices rest on', () => {
    const { book } = openBook(4, basis(280));
    const use = book.blockUse(april.from, afterwards);
    expect(use).toEqual({
      tariff: 'rising',
      month: april,
      house: kwh(400),
      fishRoom: kwh(120),
      known: 'stated',
      projected: false,
      prices: new Map([['rising/flat', { average: 225_000, marginal: 366_667 }]]),
    });
  });

  test('goes by the fish room alone where nothing is known of the rest', () => {
    const { book } = openBook(4, basis(undefined));
    // 100 × 0.1 + 20 × 0.2 = 14.
    expect(book.account(april, afterwards).site.cost).toBe(30 * 466_668);
    expect(book.blockUse(april.from, afterwards)).toMatchObject({
      known: 'fish-room-alone',
      house: kwh(120),
    });
  });

  test('has no block prices under a tariff without blocks', () => {
    const flat = compileTariffs(
      { flat: tariffOf({ kind: 'flat', price_per_kwh: 0.2 }) },
      calendar,
      'USD',
    );
    const { book } = openBook(4, { ...basis(280), tariffs: flat });
    expect(book.blockUse(april.from, afterwards)).toBeUndefined();
    expect(book.blockUse(at('2019-01-01T12:00Z'), afterwards)).toBeUndefined();
  });
});

describe('what the meter of the house counted', () => {
  test('goes before what the keeper states', () => {
    const { store, book } = openBook(4, basis(280));
    expect(book.account(april, afterwards).site.cost).toBe(27_000_000);
    store.meterHouse(interval(april.from, april.to, 200));
    // 100 × 0.1 + 100 × 0.2 = 30 for 200 kWh: 0.15.
    expect(book.account(april, afterwards).site.cost).toBe(18_000_000);
    expect(book.blockUse(april.from, afterwards)).toMatchObject({
      known: 'imported',
      house: kwh(200),
      projected: false,
    });
  });

  test('is never less than the fish room', () => {
    const { store, book } = openBook(4, basis(280));
    store.meterHouse(interval(april.from, april.to, 50));
    expect(book.blockUse(april.from, afterwards)).toMatchObject({ house: kwh(120) });
  });

  test('counts within the month only, and of several meters together', () => {
    const { store, book } = openBook(4, basis(280));
    store.meterHouse(
      interval(later(april.from, -HOUR), later(april.from, HOUR), 2),
      interval(later(april.from, HOUR), april.to, 149),
      interval(april.from, april.to, 40, 'garage'),
    );
    expect(book.blockUse(april.from, afterwards)?.house).toBe(kwh(190));
  });

  test('is not gone by when more than a hundredth of the month is missing', () => {
    const { store, book } = openBook(4, basis(280));
    store.meterHouse(interval(april.from, later(april.to, -8 * HOUR), 200));
    expect(book.blockUse(april.from, afterwards)?.known).toBe('stated');
  });

  test('nor when one of several meters is missing', () => {
    const { store, book } = openBook(4, basis(280));
    const middle = later(april.from, 15 * DAY);
    store.meterHouse(
      interval(april.from, april.to, 200),
      interval(april.from, middle, 100, 'garage'),
    );
    expect(book.blockUse(april.from, afterwards)?.known).toBe('stated');
  });
});

describe('a month with blocks under way', () => {
  const tenth = day('2026-04-11');
  const now = later(tenth.from, 13 * HOUR);

  // Ten days of 4 kWh are 120 for the month; the stated 280 with it are 400: 0.225.
  test('is projected from its days that are over, and says that its prices are provisional', () => {
    const { book } = openBook(4, basis(280), tenth.to);
    const account = book.account(april, now);
    expect(account.site).toMatchObject({ energy: kwh(44), cost: 11 * 900_000 });
    expect(account.provisional).toBe(true);
    expect(book.blockUse(now, now)).toMatchObject({ fishRoom: kwh(120), projected: true });
    expect(book.account({ from: now, to: april.to }, now).provisional).toBe(false);
  });

  test('keeps its price all day, whatever the day brings', () => {
    const { store, book } = openBook(4, basis(280), tenth.to);
    const slot = later(tenth.from, 13 * HOUR);
    store.book(entry(slot, 'pump', kwh(50)));
    book.touched(slot);
    expect(book.blockUse(now, later(now, HOUR))?.fishRoom).toBe(kwh(120));
  });

  test('is taken from what there is on its first day, as if that were a day’s', () => {
    const { book } = openBook(4, basis(280), later(april.from, HOUR));
    const use = book.blockUse(april.from, later(april.from, 13 * HOUR));
    expect(use).toMatchObject({ fishRoom: kwh(120), projected: true });
  });

  test('goes by the meter when that reaches at least half of the time', () => {
    const { store, book } = openBook(4, basis(280), tenth.to);
    store.meterHouse(interval(april.from, later(april.from, 4 * DAY), 40));
    expect(book.blockUse(now, now)?.known).toBe('stated');
    store.meterHouse(interval(later(april.from, 4 * DAY), later(april.from, 6 * DAY), 20));
    expect(book.blockUse(now, now)).toMatchObject({
      known: 'imported',
      house: kwh(300),
      projected: true,
    });
  });

  test('begun by books that began within it is taken to have been like what they hold', () => {
    const store = memoryStore({ begins: day('2026-04-21').from });
    for (const date of ['21', '22', '23', '24', '25', '26', '27', '28', '29', '30']) {
      store.book(entry(later(day(`2026-04-${date}`).from, 12 * HOUR), 'pump', kwh(4)));
    }
    const book = createAccountBook(store, basis(280));
    const use = book.blockUse(april.from, afterwards);
    expect(use).toMatchObject({ fishRoom: kwh(120), projected: true });
    expect(book.account(april, afterwards)).toMatchObject({ provisional: false });
  });
});

test('a month that a new tariff cuts takes its part of what the keeper states', () => {
  const tariffs = compileTariffs(
    { old: rising('average'), new: rising('average', { valid_from: '2026-04-16' }) },
    calendar,
    'USD',
  );
  const { book } = openBook(4, { ...basis(280), tariffs });
  const use = book.blockUse(april.from, afterwards);
  expect(use).toMatchObject({ tariff: 'old', house: kwh(200), fishRoom: kwh(60) });
  expect(use?.month.to).toBe(day('2026-04-16').from);
});

test('what a late counter brings to a day that is over moves the price of its whole month', () => {
  const { store, book } = openBook(4, basis(280));
  expect(book.account(april, afterwards).site.cost).toBe(27_000_000);
  const slot = later(april.from, HOUR);
  store.book(entry(slot, 'pump', kwh(20)));
  book.touched(slot);
  // 10 + 40 + 120 × 0.4 = 98 for 420 kWh: 0.233333.
  expect(book.blockUse(april.from, afterwards)?.fishRoom).toBe(kwh(140));
  expect(book.account(april, afterwards).site.cost).toBe(24 * 233_333 + 29 * 4 * 233_333);
});

test('another use of the month costs no look at the entries', () => {
  const { store, book } = openBook(4, basis(280));
  book.account(april, afterwards);
  store.read.length = 0;
  store.meterHouse(interval(april.from, april.to, 200));
  book.account(april, afterwards);
  book.account(april, afterwards, { blocksAt: 'marginal' });
  book.reconfigure(basis(100));
  book.account(april, afterwards);
  const old = store.read.filter(({ from }) => from < later(april.to, -2 * DAY));
  expect(old).toEqual([]);
});
