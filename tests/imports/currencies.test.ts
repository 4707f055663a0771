import { describe, expect, it } from 'vitest';
import { currencyOfNumber } from '../../src/imports/espi/currencies.ts';
import { reference } from './sample.ts';

/** iso-codes 4.15.0; see reference/currency/SOURCE.md. */
const PUBLISHED: Record<string, string> = JSON.parse(
  reference('currency/iso_4217_numbers.json').toString(),
);

const known = Array.from({ length: 1000 }, (_, number) => number).flatMap((number) => {
  const letters = currencyOfNumber(number);
  return letters === undefined ? [] : [{ number, letters }];
});

describe('currencies by their number', () => {
  it('have the letters of the published list', () => {
    expect(known.length).toBeGreaterThan(140);
    const wrong = known.filter(
      ({ number, letters }) => PUBLISHED[String(number).padStart(3, '0')] !== letters,
    );
    expect(wrong).toEqual([]);
  });

  it('are currencies that this runtime can write', () => {
    const runtime = new Set(Intl.supportedValuesOf('currency'));
    expect(known.filter(({ letters }) => !runtime.has(letters))).toEqual([]);
  });

  it('include those with whole coins and those with thousandths', () => {
    expect([392, 414, 840, 978].map(currencyOfNumber)).toEqual(['JPY', 'KWD', 'USD', 'EUR']);
    expect(currencyOfNumber(0)).toBeUndefined();
  });
});
