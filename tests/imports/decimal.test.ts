import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { scaledDecimal } from '../../src/imports/decimal.ts';
import { runs } from '../units/runs.ts';

describe('a decimal text', () => {
  it('is scaled exactly: the digits of a whole number with a point put in come back', () => {
    const places = fc.integer({ min: 0, max: 9 });
    const whole = fc.integer({ min: -9_000_000_000_000, max: 9_000_000_000_000 });
    fc.assert(
      fc.property(whole, places, (value, point) => {
        const digits = String(Math.abs(value)).padStart(point + 1, '0');
        const cut = digits.length - point;
        const text = `${value < 0 ? '-' : ''}${digits.slice(0, cut)}.${digits.slice(cut)}`;
        expect(scaledDecimal(text, point)).toEqual({ value: value + 0, exact: true });
      }),
      runs(),
    );
  });

  it.each([
    ['0.1234565', 6, { value: 123_457, exact: false }],
    ['-0.1234565', 6, { value: -123_457, exact: false }],
    ['0.1234564', 6, { value: 123_456, exact: false }],
    ['1.5e3', 0, { value: 1500, exact: true }],
    ['2E-3', 6, { value: 2000, exact: true }],
    ['.5', 1, { value: 5, exact: true }],
    ['5.', 1, { value: 50, exact: true }],
    ['-0', 3, { value: 0, exact: true }],
    ['0.285', 6, { value: 285_000, exact: true }],
    ['1e-200', 6, { value: 0, exact: false }],
  ])('%s × 10^%d is rounded once, halves away from zero', (text, power, expected) => {
    expect(scaledDecimal(text, power)).toEqual(expected);
  });

  it.each(['', '.', '-', 'e5', '1,5', '1.2.3', '0x10', 'NaN', 'Infinity', '1e', '1 000', '١'])(
    "'%s' is no number",
    (text) => {
      expect(scaledDecimal(text, 0)).toBeUndefined();
    },
  );

  it('beyond what a whole number holds is none either, and costs no time', () => {
    expect(scaledDecimal('9007199254740993', 0)).toBeUndefined();
    expect(scaledDecimal('1e999', 6)).toBeUndefined();
    expect(scaledDecimal('9'.repeat(41), 0)).toBeUndefined();
  });
});
