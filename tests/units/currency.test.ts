import { describe, expect, test } from 'vitest';
import { currencyDecimals, type MicroUnits, microUnits, toCoin } from '../../src/units/index.ts';

const coin = (amount: number, code: string): number => toCoin(microUnits(amount), code) / 1e6;

describe('the smallest coin of a currency', () => {
  test.each([
    ['JPY', 0],
    ['CAD', 2],
    ['EUR', 2],
    ['NAD', 2],
    ['KWD', 3],
    ['CLF', 4],
  ])('%s has %i decimals', (code, decimals) => {
    expect(currencyDecimals(code)).toBe(decimals);
  });

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

// Unicode CLDR, as the runtime has it, follows ISO 4217 but where coins have gone out of use: there
// it writes fewer digits than the standard's minor unit has.
test('the runtime writes no currency with more decimals than we count', () => {
  const differing = new Set<string>();
  for (const code of Intl.supportedValuesOf('currency')) {
    const { maximumFractionDigits: digits = 2 } = new Intl.NumberFormat('en', {
      style: 'currency',
      currency: code,
    }).resolvedOptions();
    expect(digits).toBeLessThanOrEqual(currencyDecimals(code));
    if (digits < currencyDecimals(code)) differing.add(code);
  }
  for (const code of ['JPY', 'KRW', 'CLP', 'BHD', 'KWD', 'TND', 'EUR', 'USD', 'CAD', 'NAD']) {
    expect(differing).not.toContain(code);
  }
});
