import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  apportion,
  cost,
  type MicroPerKwh,
  type MilliwattHours,
  microPerKwh,
  microUnits,
  milliwattHours,
} from '../../src/units/index.ts';
import { runs } from './runs.ts';

const MWH_PER_KWH = 1_000_000n;

/** Halves away from zero, in whole numbers only. */
function rounded(numerator: bigint, denominator: bigint): bigint {
  const sign = numerator < 0n ? -1n : 1n;
  return (sign * (2n * sign * numerator + denominator)) / (2n * denominator);
}

describe('cost', () => {
  test.each([
    ['a kilowatt-hour', 1_000_000, 0.25, 250_000],
    ['half a micro-unit, rounded away from zero', 2, 0.25, 1],
    ['less than half a micro-unit', 1, 0.25, 0],
    ['half a micro-unit given back', -2, 0.25, -1],
    ['next to nothing given back, which is zero and not minus zero', -1, 0.25, 0],
  ])('of %s', (_, energy, price, expected) => {
    expect(cost(milliwattHours(energy), microPerKwh(price))).toBe(expected);
  });

  test('equals whole-number arithmetic for any energy and price', () => {
    fc.assert(
      fc.property(
        fc.maxSafeInteger(),
        fc.integer({ min: -1_000_000_000, max: 1_000_000_000 }),
        fc.constantFrom(1, 1_000, 1_000_000, 1_000_000_000),
        (big, price, smaller) => {
          const energy = Math.trunc(big / smaller);
          const exact = rounded(BigInt(energy) * BigInt(price), MWH_PER_KWH);
          fc.pre(Number.isSafeInteger(Number(exact)));
          expect(cost(energy as MilliwattHours, price as MicroPerKwh)).toBe(Number(exact));
        },
      ),
      runs(5_000),
    );
  });
});

describe('decimal prices', () => {
  test('of six decimals are kept exactly', () => {
    fc.assert(
      fc.property(fc.integer({ min: -1_000_000_000, max: 100_000_000_000 }), (micro) => {
        const sign = micro < 0 ? '-' : '';
        const digits = String(Math.abs(micro)).padStart(7, '0');
        const written = `${sign}${digits.slice(0, -6)}.${digits.slice(-6)}`;
        expect(microPerKwh(Number(written)) + 0).toBe(micro);
        expect(microUnits(Number(written)) + 0).toBe(micro);
      }),
      runs(),
    );
  });
});

describe('apportioning', () => {
  test.each([
    [10, [1, 1, 1], [4, 3, 3]],
    [11, [1, 1, 1], [4, 4, 3]],
    [-10, [1, 1, 1], [-4, -3, -3]],
    [1, [1, 3], [0, 1]],
    [7, [0, 5, 0], [0, 7, 0]],
    [0, [1, 2], [0, 0]],
    [10, [0.1, 0.2, 0.7], [1, 2, 7]],
  ])('%i by %j is %j', (total, weights, parts) => {
    expect(apportion(total as MilliwattHours, weights)).toEqual(parts);
  });

  test('by largest remainder: whole parts, exact in sum, no part off by a whole unit', () => {
    const weights = fc.array(fc.integer({ min: 0, max: 1_000_000 }), {
      minLength: 1,
      maxLength: 12,
    });
    fc.assert(
      fc.property(fc.maxSafeInteger(), weights, (total, list) => {
        const sum = list.reduce((a, b) => a + b, 0);
        fc.pre(sum > 0);
        const parts = apportion(total as MilliwattHours, list);
        expect(parts.reduce((a, b) => a + BigInt(b), 0n)).toBe(BigInt(total));
        parts.forEach((part, index) => {
          const weight = BigInt(list[index] ?? 0);
          const off = BigInt(part) * BigInt(sum) - BigInt(total) * weight;
          expect(off < BigInt(sum) && -off < BigInt(sum)).toBe(true);
          if (weight === 0n) expect(part).toBe(0);
        });
        // Largest remainder: who got the extra unit had no smaller a claim than who did not.
        const claims = parts.map((part, index) => {
          const exact = BigInt(Math.abs(total)) * BigInt(list[index] ?? 0);
          const rest = exact % BigInt(sum);
          return { rest, extra: BigInt(Math.abs(part)) > exact / BigInt(sum) };
        });
        const least = claims.filter(({ extra }) => extra).map(({ rest }) => rest);
        const most = claims.filter(({ extra }) => !extra).map(({ rest }) => rest);
        for (const given of least) for (const denied of most) expect(given >= denied).toBe(true);
      }),
      runs(),
    );
  });

  test('by weights that are no whole numbers still sums to the total', () => {
    const weight = fc.double({ min: 0, max: 1000, noNaN: true });
    fc.assert(
      fc.property(
        fc.integer({ min: -(2 ** 48), max: 2 ** 48 }),
        fc.array(weight, { minLength: 1, maxLength: 12 }),
        (total, list) => {
          fc.pre(list.reduce((a, b) => a + b, 0) > 1e-300);
          const parts = apportion(total as MilliwattHours, list);
          expect(parts.reduce((a, b) => a + b, 0)).toBe(total);
          expect(parts.every(Number.isInteger)).toBe(true);
        },
      ),
      runs(),
    );
  });

  test.each([[[]], [[0, 0]], [[1, -1]], [[1, Number.NaN]], [[Infinity]]])(
    'refuses the weights %j',
    (weights) => {
      expect(() => apportion(5 as MilliwattHours, weights)).toThrow(
        expect.objectContaining({ code: 'AMP_MONEY_WEIGHTS' }),
      );
    },
  );
});
