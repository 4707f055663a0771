import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { blockPrice } from '../../src/tariff/index.ts';
import {
  type MicroPerKwh,
  type MilliwattHours,
  microPerKwh,
  milliwattHours,
} from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';

const kWh = (energy: number): MilliwattHours => milliwattHours(energy * 1e6);
const perKwh = [0.1, 0.2, 0.4].map(microPerKwh);
const ends = [kWh(100), kWh(300)];
const priceOf = (house: number, part: number, at: 'average' | 'marginal'): number =>
  blockPrice(perKwh, ends, { house: kWh(house), part: kWh(part) }, at) / 1e6;

describe('the average price', () => {
  test('of a house within the first block is the first price', () => {
    expect(priceOf(80, 10, 'average')).toBe(0.1);
  });

  // 100 × 0.10 + 200 × 0.20 + 100 × 0.40 = 90 for 400 kWh, by hand.
  test('weighs every block by what the house has in it, whatever the part', () => {
    expect(priceOf(400, 1, 'average')).toBe(0.225);
    expect(priceOf(400, 400, 'average')).toBe(0.225);
  });
});

describe('the marginal price', () => {
  test('is that of the block in which the part lies on top of the rest', () => {
    expect(priceOf(400, 50, 'marginal')).toBe(0.4);
    expect(priceOf(300, 200, 'marginal')).toBe(0.2);
  });

  // The part lies from 250 to 350 kWh: 50 × 0.20 + 50 × 0.40 = 30 for 100 kWh, by hand.
  test('weighs the blocks that the part reaches', () => {
    expect(priceOf(350, 100, 'marginal')).toBe(0.3);
  });

  test('of the whole house is its average', () => {
    expect(priceOf(400, 400, 'marginal')).toBe(priceOf(400, 400, 'average'));
  });
});

test.each([
  [0, 0.1],
  [99, 0.1],
  [100, 0.2],
  [300, 0.4],
  [1000, 0.4],
])('no energy on top of %i kWh costs what the next kWh would, %d', (house, price) => {
  expect(priceOf(house, 0, 'marginal')).toBe(price);
});

test('of a house without energy the average is the first price', () => {
  expect(priceOf(0, 0, 'average')).toBe(0.1);
});

test('a part larger than the house is taken for all of it', () => {
  expect(priceOf(50, 200, 'marginal')).toBe(0.15);
});

/** What the house pays, block by block, in millionths of micro-units: exact. */
function billOf(house: number, prices: readonly number[], limits: readonly number[]): bigint {
  return prices.reduce((sum, price, block) => {
    const start = limits[block - 1] ?? 0;
    const end = Math.min(house, limits[block] ?? Number.POSITIVE_INFINITY);
    return end > start ? sum + BigInt(end - start) * BigInt(price) : sum;
  }, 0n);
}

const blocks = fc.integer({ min: 1, max: 5 }).chain((count) =>
  fc.record({
    prices: fc.array(fc.integer({ min: -500_000, max: 2_000_000 }), {
      minLength: count,
      maxLength: count,
    }),
    limits: fc
      .uniqueArray(fc.integer({ min: 1, max: 2_000_000_000 }), {
        minLength: count - 1,
        maxLength: count - 1,
      })
      .map((list) => list.sort((a, b) => a - b)),
  }),
);
const energy = fc.oneof(
  fc.integer({ min: 0, max: 50 }),
  fc.integer({ min: 0, max: 3_000_000_000 }),
);
const use = fc.tuple(energy, energy).map(([a, b]) => ({
  house: milliwattHours(Math.max(a, b)),
  part: milliwattHours(Math.min(a, b)),
}));

/** Rounding a price by at most half a micro-unit per kWh. */
const within = (mWh: number): bigint => BigInt(mWh) / 2n + 1n;
const apart = (a: bigint, b: bigint): bigint => (a > b ? a - b : b - a);

test('part and rest at the average price pay what the house is billed', () => {
  fc.assert(
    fc.property(blocks, use, ({ prices, limits }, { house, part }) => {
      const price = blockPrice(
        prices as MicroPerKwh[],
        limits as MilliwattHours[],
        { house, part },
        'average',
      );
      const paid = BigInt(part) * BigInt(price) + BigInt(house - part) * BigInt(price);
      expect(apart(paid, billOf(house, prices, limits)) <= within(house)).toBe(true);
    }),
    runs(),
  );
});

test('the part at its marginal price pays what the house is billed more for it', () => {
  fc.assert(
    fc.property(blocks, use, ({ prices, limits }, { house, part }) => {
      const price = blockPrice(
        prices as MicroPerKwh[],
        limits as MilliwattHours[],
        { house, part },
        'marginal',
      );
      const more = billOf(house, prices, limits) - billOf(house - part, prices, limits);
      expect(apart(BigInt(part) * BigInt(price), more) <= within(part)).toBe(true);
    }),
    runs(),
  );
});
