import { describe, expect, test } from 'vitest';
import { rounded, whole } from '../../src/tariff/exact.ts';
import { coinOf, type MicroUnits, microUnits } from '../../src/units/index.ts';

/** As a line of a bill is rounded. */
const toCoin = (amount: MicroUnits, code: string): number =>
  rounded(whole(amount), BigInt(coinOf(code)));
const coin = (amount: number, code: string): number => toCoin(microUnits(amount), code) / 1e6;

describe('an amount rounded to the smallest coin of its currency', () => {
  test.each([
    [26.125, 'USD', 26.13],
    [-26.125, 'USD', -26.13],
    [2.7513, 'USD', 2.75],
    [1234.5, 'JPY', 1235],
    [0.0005, 'KWD', 0.001],
    [0.004, 'EUR', 0],
  ])('%d %s is %d', (amount, code, rounded) => {
    expect(coin(amount, code)).toBe(rounded);
  });

  test('nothing is nothing, and not less than nothing', () => {
    expect(Object.is(toCoin(-1 as MicroUnits, 'EUR'), 0)).toBe(true);
  });
});
