import { describe, expect, test } from 'vitest';
import { currencyDecimals } from '../../src/units/index.ts';

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
