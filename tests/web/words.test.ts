import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  HOUR,
  MINUTE,
  type MicroUnits,
  type Millis,
  type MilliwattHours,
} from '../../src/units/index.ts';
import { createWords, type Words } from '../../src/web/words.ts';
import { kwh, money, NIGHT, price as perKwh } from './views.ts';

const wordsFor = (locale: string, currency: string, zone = 'America/Winnipeg'): Words =>
  createWords({ locale, currency, zone });

/** Locale data puts no-break spaces of several widths; a reader sees a blank. */
const plain = (text: string): string => text.replace(/[\u00A0\u202F]/g, ' ');

const canadian = wordsFor('en-CA', 'CAD');

describe('money', () => {
  // Minor units of ISO 4217 (from memory): JPY 0, CAD and EUR 2, KWD 3.
  it.each([
    ['en-CA', 'CAD', 1234.5, '$1,234.50'],
    ['de-AT', 'EUR', 1234.5, '€ 1.234,50'],
    ['ja-JP', 'JPY', 1234.5, '¥1,235'],
    ['en-US', 'KWD', 1234.5, 'KWD 1,234.500'],
    ['en-CA', 'CAD', 0, '$0.00'],
    ['en-CA', 'CAD', -3.2, '-$3.20'],
  ])('in %s and %s writes %f as %s', (locale, currency, amount, text) => {
    const written = plain(wordsFor(locale, currency).money(money(amount)));
    expect(written.replace('￥', '¥')).toBe(text);
  });

  it('rounds a half coin up, as on a bill', () => {
    expect(canadian.money(money(0.005))).toBe('$0.01');
    expect(canadian.money(money(1.005))).toBe('$1.01');
    expect(canadian.money(money(1.004999))).toBe('$1.00');
  });

  it('names the coin when less than half of one is owed', () => {
    expect(canadian.money(1 as MicroUnits)).toBe('<$0.01');
    expect(canadian.money(4_999 as MicroUnits)).toBe('<$0.01');
    expect(canadian.money(-1 as MicroUnits)).toBe('>-$0.01');
    expect(plain(wordsFor('en-US', 'KWD').money(400 as MicroUnits))).toBe('<KWD 0.001');
    expect(wordsFor('en-US', 'JPY').money(400_000 as MicroUnits)).toBe('<¥1');
  });

  it('never writes as nothing what is not nothing', () => {
    const all = ['JPY', 'CAD', 'KWD'].map((currency) => wordsFor('en-US', currency));
    fc.assert(
      fc.property(fc.integer({ min: -2_000_000, max: 2_000_000 }), (amount) => {
        for (const words of all) {
          const text = words.money(amount as MicroUnits);
          const reads = Number(text.replace(/[^0-9.]/g, ''));
          expect(reads === 0).toBe(amount === 0);
        }
      }),
      { numRuns: 2_000 },
    );
  });

  it('writes a price with the digits that tariffs have', () => {
    expect(canadian.price(perKwh(0.0794))).toBe('$0.0794/kWh');
    expect(canadian.price(perKwh(0.07945))).toBe('$0.07945/kWh');
    expect(canadian.price(perKwh(0.079451))).toBe('$0.079451/kWh');
    expect(wordsFor('en-US', 'JPY').price(perKwh(31.5))).toBe('¥31.50/kWh');
    expect(plain(wordsFor('en-US', 'KWD').price(perKwh(0.002)))).toBe('KWD 0.00200/kWh');
    expect(canadian.price(perKwh(-0.0125))).toBe('-$0.0125/kWh');
  });
});

describe('temperature', () => {
  // NIST SP 811, Appendix B: t/°F = 1.8 t/°C + 32 (from memory).
  it.each([
    ['en-US', 25, '77.0 °F'],
    ['en-US', -40, '-40.0 °F'],
    ['en-US', 0, '32.0 °F'],
    ['en', 25, '77.0 °F'],
    ['es-PR', 25, '77.0 °F'],
    ['en-CA', 25, '25.0 °C'],
    ['de-AT', 24.34, '24,3 °C'],
    ['en-GB', -0.04, '0.0 °C'],
    ['en-GB', -0.06, '-0.1 °C'],
  ])('in %s writes %f °C as %s', (locale, celsius, text) => {
    expect(wordsFor(locale, 'EUR').temperature(celsius)).toBe(text);
  });

  it('writes the unit of a range once', () => {
    expect(canadian.range({ min: 22, max: 26.5 })).toBe('22.0 to 26.5 °C');
    expect(wordsFor('en-US', 'USD').range({ min: 20, max: 25 })).toBe('68.0 to 77.0 °F');
  });
});

describe('energy and power', () => {
  it.each([
    [0, '0.000 kWh'],
    [0.000001, '<0.001 kWh'],
    [0.000499, '<0.001 kWh'],
    [0.0005, '0.001 kWh'],
    [0.9994, '0.999 kWh'],
    [0.9995, '1.00 kWh'],
    [12.345, '12.35 kWh'],
    [99.994, '99.99 kWh'],
    [99.995, '100.0 kWh'],
    [999.94, '999.9 kWh'],
    [999.95, '1,000 kWh'],
    [12_345.6, '12,346 kWh'],
    [-2.5, '-2.50 kWh'],
  ])('writes %f kWh as %s: three or four figures that mean something', (amount, text) => {
    expect(canadian.energy(kwh(amount))).toBe(text);
  });

  it('never writes as nothing energy that is not nothing', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 5_000_000 }), (amount) => {
        const text = canadian.energy(amount as MilliwattHours);
        expect(Number(text.replace(/[^0-9.]/g, ''))).toBeGreaterThan(0);
      }),
    );
  });

  it.each([
    [0, '0 W'],
    [-0, '0 W'],
    [0.04, '0 W'],
    [0.05, '0.1 W'],
    [8.34, '8.3 W'],
    [9.96, '10 W'],
    [1445.2, '1,445 W'],
    [-12.4, '-12 W'],
  ])('writes %f W as %s', (watts, text) => {
    expect(canadian.power(watts)).toBe(text);
  });
});

describe('parts and lengths', () => {
  it.each([
    [0, '0%'],
    [0.0004, '<0.1%'],
    [0.0005, '0.1%'],
    [0.057, '5.7%'],
    [0.9994, '99.9%'],
    [0.9996, '>99.9%'],
    [1, '100%'],
  ])('writes the part %f as %s: all and nothing only where it is so', (part, text) => {
    expect(canadian.percent(part)).toBe(text);
  });

  it.each([
    [1, '1 min'],
    [59 * MINUTE, '59 min'],
    [HOUR, '1.0 h'],
    [6.2 * HOUR, '6.2 h'],
    [312.4 * HOUR, '312 h'],
  ])('writes %i ms as %s', (span, text) => {
    expect(canadian.length(span as Millis)).toBe(text);
  });

  it('tells times on the wall clock of the site', () => {
    expect(plain(canadian.clock(NIGHT))).toBe('3:10 a.m.');
    expect(plain(canadian.dateAndClock(NIGHT))).toBe('Jan 14, 2026, 3:10 a.m.');
    expect(wordsFor('de-AT', 'EUR', 'Europe/Vienna').clock(NIGHT)).toBe('10:10');
    expect(wordsFor('en-GB', 'INR', 'Asia/Kolkata').clock(NIGHT)).toBe('14:40');
  });
});
