import { describe, expect, it } from 'vitest';
import { rateNow } from '../../src/app/rate-now.ts';
import { slotPrices } from '../../src/app/slot-price.ts';
import { createAccountBook } from '../../src/books/index.ts';
import type { Store } from '../../src/storage/index.ts';
import { DAY, HOUR, later, microPerKwh, SLOT } from '../../src/units/index.ts';
import { storeForEach } from '../storage/store-for-each.ts';
import { loftHouse, NOON } from './loft.ts';

let store: Store;
storeForEach((fresh) => {
  store = fresh;
});

const FLAT = 'energy: { kind: flat, price_per_kwh: 0.1 }';
const span = { from: NOON, to: later(NOON, DAY) };

function pricesIn(energy: string, household = '') {
  const house = loftHouse([FLAT, energy], ['feeds:\n', `${household}feeds:\n`]);
  const books = createAccountBook(store, house.basis);
  return {
    priceAt: slotPrices(house.basis, books, store, span, NOON),
    now: rateNow(house.basis, books, store, later(NOON, 10)),
  };
}

describe('what a slot costs', () => {
  it('is the rate’s price, before the first tariff nothing', () => {
    const { priceAt, now } = pricesIn(FLAT);
    expect(priceAt(NOON)).toBe(microPerKwh(0.1));
    expect(priceAt(later(NOON, -10_000 * DAY))).toBeUndefined();
    expect(now).toEqual({ name: 'flat', perKwh: microPerKwh(0.1), provisional: false });
  });

  it('goes by the hour on the wall', () => {
    const { priceAt } = pricesIn(
      `energy: { kind: time-of-use, rates: { day: { price_per_kwh: 0.3 }, late: { price_per_kwh: 0.2 } },
        periods: [{ rate: day, from: '00:00', to: '18:00' }, { rate: late, from: '18:00', to: '24:00' }] }`,
    );
    const prices = [0, 5.75, 6, 11.75, 12].map((hours) => priceAt(later(NOON, hours * HOUR)));
    expect(prices).toEqual([0.3, 0.3, 0.2, 0.2, 0.3].map(microPerKwh));
  });

  it('is that of the block on top of the house, where the tariff is told so, and provisional', () => {
    const { priceAt, now } = pricesIn(
      'energy: { kind: flat, prices_per_kwh: [0.1, 0.2], blocks: { ends_kwh: [600], priced_at: marginal } }',
      'household: { other_kwh_per_month: 700 }\n',
    );
    // The house is in its second block before the first fish.
    expect(priceAt(NOON)).toBe(microPerKwh(0.2));
    expect(now).toMatchObject({ perKwh: microPerKwh(0.2), provisional: true });
  });

  it('is the published one where each slot has its own, and unknown where none is', () => {
    const [from, to] = [NOON, later(NOON, HOUR)];
    const series = 'heron-exchange';
    store.addSlotPrices([{ series, from, to, price: microPerKwh(-0.05) }], NOON);
    const { priceAt, now } = pricesIn(`energy: { kind: slot-prices, series: ${series} }`);
    expect(priceAt(later(NOON, 3 * SLOT))).toBe(microPerKwh(-0.05));
    expect(priceAt(to)).toBeUndefined();
    expect(now?.perKwh).toBe(microPerKwh(-0.05));
  });
});
