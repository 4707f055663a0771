import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { createAccountBook } from '../../src/books/index.ts';
import {
  addProduct,
  addProductSum,
  costOf,
  newProductSum,
  productText,
  readProduct,
} from '../../src/books/products.ts';
import { compileTariffs, type SlotPrice } from '../../src/tariff/index.ts';
import {
  Calendar,
  HOUR,
  type Instant,
  later,
  type MicroPerKwh,
  type MilliwattHours,
  microPerKwh,
  SLOT,
} from '../../src/units/index.ts';
import { tariffOf } from '../tariff/tariffs.ts';
import { runs } from '../units/runs.ts';
import { at, basisOf, device, entry, memoryStore } from './fish-room.ts';

const calendar = new Calendar('Europe/Tallinn');
const noon = at('2026-05-13T09:00Z');
const day = calendar.day(noon);
const evening = later(day.to, 0);

const price = (from: Instant, perKwh: number, length: number = HOUR): SlotPrice => ({
  series: 'exchange',
  from,
  to: later(from, length),
  price: microPerKwh(perKwh),
});

function openBook() {
  const tariffs = compileTariffs(
    {
      exchange: tariffOf(
        { kind: 'slot-prices', series: 'exchange', factor: 1.05, adder_per_kwh: 0.02 },
        { charges: [{ name: 'Sales tax', percent: 20 }] },
      ),
    },
    calendar,
    'EUR',
  );
  const store = memoryStore();
  const basis = basisOf(calendar, tariffs, {
    pump: device('pump', 40, { plug: 'plug-1', tank: 'newt' }),
  });
  return { store, book: createAccountBook(store, basis) };
}

describe('energy with a price for each slot', () => {
  // 0.10 → (1.05 × 0.10 + 0.02) × 1.2 = 0.15; −0.10 → (−0.105 + 0.02) × 1.2 = −0.102.
  // 2 kWh × 0.15 + 1 kWh × −0.102 = 0.198.
  test('costs what formula and taxes make of what was published, below nothing too', () => {
    const { store, book } = openBook();
    store.publish(price(noon, 0.1), price(later(noon, HOUR), -0.1));
    store.book(
      entry(noon, 'pump', 1_500_000),
      entry(later(noon, 3 * SLOT), 'pump', 500_000),
      entry(later(noon, HOUR), 'pump', 1_000_000),
    );
    const { site } = book.account(day, evening);
    expect(site).toMatchObject({ energy: 3_000_000, cost: 198_000, unpriced: 0 });
    expect([...site.byRate.values()].map(({ rate, energy }) => [rate.key, energy])).toEqual([
      ['exchange/slots', 3_000_000],
    ]);
  });

  test('is unpriced where none was published, and priced once it is', () => {
    const { store, book } = openBook();
    store.publish(price(noon, 0.1));
    store.book(entry(noon, 'pump', 1_000_000), entry(later(noon, HOUR), 'pump', 250_000));
    expect(book.account(day, evening).site).toMatchObject({ cost: 150_000, unpriced: 250_000 });
    store.publish(price(later(noon, HOUR), 0.1));
    expect(book.account(day, evening).site).toMatchObject({ cost: 187_500, unpriced: 0 });
  });

  test('goes by quarter-hours where prices do', () => {
    const { store, book } = openBook();
    store.publish(price(noon, 0.1, SLOT), price(later(noon, SLOT), -0.1, SLOT));
    store.book(entry(noon, 'pump', 1_000_000), entry(later(noon, SLOT), 'pump', 1_000_000));
    expect(book.account(day, evening).site.cost).toBe(48_000);
  });

  // 96 × 2 mWh at 0.15: 0.3 each, which would each be nothing; together 28.8.
  test('is rounded once for the day', () => {
    const { store, book } = openBook();
    for (let number = 0; number < 96; number += 1) {
      const slot = later(day.from, number * SLOT);
      if (number % 4 === 0) store.publish(price(slot, 0.1));
      store.book(entry(slot, 'pump', 2));
    }
    expect(book.account(day, evening).site.cost).toBe(29);
  });
});

describe('sums of energy × price', () => {
  const product = fc.tuple(
    fc.oneof(fc.integer({ min: -50, max: 50 }), fc.integer({ min: -1_000_000, max: 30_000_000 })),
    fc.oneof(
      fc.integer({ min: -9_999_999, max: 9_999_999 }),
      fc.integer({ min: -100_000_000_000, max: 100_000_000_000 }),
    ),
  );
  const sumOf = (products: readonly (readonly [number, number])[]) => {
    const sum = newProductSum();
    for (const [energy, perKwh] of products) {
      addProduct(sum, energy as MilliwattHours, perKwh as MicroPerKwh);
    }
    return sum;
  };
  /** Halves away from zero. */
  function byHand(products: readonly (readonly [number, number])[]): bigint {
    let exact = 0n;
    for (const [energy, perKwh] of products) exact += BigInt(energy) * BigInt(perKwh);
    const sign = exact < 0n ? -1n : 1n;
    return (sign * (sign * exact + 500_000n)) / 1_000_000n;
  }

  test('are exact at any size', () => {
    fc.assert(
      fc.property(fc.array(product, { maxLength: 200 }), (products) => {
        expect(BigInt(costOf(sumOf(products)))).toBe(byHand(products));
      }),
      runs(),
    );
  });

  test('add up, and come back from their text', () => {
    fc.assert(
      fc.property(fc.array(product), fc.array(product), (a, b) => {
        const sum = sumOf(a);
        const text = JSON.stringify(productText(sumOf(b)));
        addProductSum(sum, readProduct(JSON.parse(text) as number | string));
        expect(BigInt(costOf(sum))).toBe(byHand([...a, ...b]));
      }),
      runs(),
    );
  });

  test('round halves away from zero', () => {
    expect(costOf(sumOf([[1, 500_000]]))).toBe(1);
    expect(costOf(sumOf([[1, 499_999]]))).toBe(0);
    expect(costOf(sumOf([[-1, 500_000]]))).toBe(-1);
    expect(Object.is(costOf(sumOf([[-1, 499_999]])), 0)).toBe(true);
  });
});
