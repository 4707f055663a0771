import { describe, expect, test } from 'vitest';
import type { TariffConfig } from '../../src/tariff/config.ts';
import { compileTariffs, type Tariff } from '../../src/tariff/index.ts';
import { Calendar } from '../../src/units/index.ts';
import { flat, lanternHollow, period, tariffOf, timeOfUse } from './tariffs.ts';

const calendar = new Calendar('Europe/Berlin');

function keysOf(config: TariffConfig, currency = 'EUR'): { hours: string; price: string } {
  const [tariff] = compileTariffs({ any: config }, calendar, currency).tariffs as [Tariff];
  return { hours: tariff.hoursKey, price: tariff.priceKey };
}

const halves = [period('day', '06:00', '22:00'), period('night', '22:00', '06:00')];
const plain = timeOfUse({ day: 0.3, night: 0.1 }, halves);
const withHolidays = (dates: string[], like: 'own' | 'sunday' | 'saturday' = 'saturday') =>
  timeOfUse({ day: 0.3, night: 0.1 }, halves, '2020-01-01', { holidays: { dates, like } });

describe('the keys of tariffs', () => {
  test.each<[string, TariffConfig, TariffConfig]>([
    ['names and the utility', plain, { ...plain, name: 'Another', utility: 'Tallow Creek Power' }],
    ['the date on which it begins', flat(0.2), flat(0.2, '2026-05-05')],
    [
      'the order of holidays',
      withHolidays(['2026-01-01', '2026-12-25']),
      withHolidays(['2026-12-25', '2026-01-01']),
    ],
  ])('do not hang on %s', (_, a, b) => {
    expect(keysOf(a)).toEqual(keysOf(b));
  });

  test.each<[string, TariffConfig, TariffConfig]>([
    ['hours', plain, lanternHollow],
    ['holidays', withHolidays(['2026-01-01']), withHolidays(['2026-01-02'])],
    ['what holidays are like', withHolidays([], 'sunday'), withHolidays([], 'saturday')],
    [
      'the clock',
      plain,
      timeOfUse({ day: 0.3, night: 0.1 }, halves, '2020-01-01', { clock: 'standard' }),
    ],
    ['the kind', plain, flat(0.3)],
  ])('tell %s apart', (_, a, b) => {
    expect(keysOf(a).hours).not.toBe(keysOf(b).hours);
    expect(keysOf(a).price).not.toBe(keysOf(b).price);
  });

  test.each<[string, TariffConfig, TariffConfig]>([
    ['a price', plain, timeOfUse({ day: 0.3, night: 0.11 }, halves)],
    ['a charge', flat(0.2), { ...flat(0.2), charges: [{ name: 'Tax', percent: 7 }] }],
    ['the billing day', flat(0.2), { ...flat(0.2), billing_day: 2 }],
    ['who bears what stands', flat(0.2), { ...flat(0.2), standing_charges: 'tanks' }],
    [
      'blocks',
      tariffOf({ kind: 'flat', prices_per_kwh: [0.1, 0.2], blocks: { ends_kwh: [100] } }),
      tariffOf({ kind: 'flat', prices_per_kwh: [0.1, 0.2], blocks: { ends_kwh: [101] } }),
    ],
    [
      'a formula',
      tariffOf({ kind: 'slot-prices', series: 'day-ahead' }),
      tariffOf({ kind: 'slot-prices', series: 'day-ahead', factor: 1.1 }),
    ],
  ])('tell %s apart by the price alone', (_, a, b) => {
    expect(keysOf(a).hours).toBe(keysOf(b).hours);
    expect(keysOf(a).price).not.toBe(keysOf(b).price);
  });
});
