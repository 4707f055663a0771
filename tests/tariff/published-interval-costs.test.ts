import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { compileTariffs } from '../../src/tariff/index.ts';
import { Calendar, cost, instant, milliwattHours } from '../../src/units/index.ts';
import { fixedPrice, period, timeOfUse } from './tariffs.ts';

// Source: tests/reference/espi/SOURCE.md.
const xml = readFileSync(
  new URL('../reference/espi/openespi_test_usage_data_01.xml', import.meta.url),
  'utf8',
);
const number = (text: string, tag: string): number =>
  Number(new RegExp(`<${tag}>(\\d+)</${tag}>`).exec(text)?.[1]);
const readings = [...xml.matchAll(/<IntervalReading>[\s\S]*?<\/IntervalReading>/g)].map(
  ([text]) => ({
    start: instant(number(text, 'start') * 1000),
    energy: milliwattHours(number(text, 'value') * 1000),
    cost: number(text, 'cost') * 10, // 1e-5 USD in micro-units
  }),
);

const book = compileTariffs(
  {
    'eleven-bands': timeOfUse(
      { p03: 0.03, p06: 0.06, p12: 0.12, p18: 0.18, p24: 0.24, p30: 0.3 },
      [
        period('p03', '23:00', '06:00'),
        period('p06', '06:00', '14:00'),
        period('p12', '14:00', '15:00'),
        period('p18', '15:00', '16:00'),
        period('p24', '16:00', '17:00'),
        period('p30', '17:00', '19:00'),
        period('p24', '19:00', '20:00'),
        period('p18', '20:00', '21:00'),
        period('p12', '21:00', '22:00'),
        period('p06', '22:00', '23:00'),
      ],
      '2012-03-01',
    ),
  },
  new Calendar('America/New_York'),
  'USD',
);

test('a published day of quarter-hours costs what its publisher says', () => {
  expect(readings).toHaveLength(96);
  const edited = readings.splice(0, 2);
  expect(edited.map(({ cost }) => cost)).toEqual([9740, 9650]);
  for (const { start, energy, cost: published } of readings) {
    const price = fixedPrice(book.rateAt(start));
    // The publisher priced before cutting the energy to whole Wh.
    expect(published).toBeGreaterThanOrEqual(cost(energy, price));
    expect(published).toBeLessThan(cost(milliwattHours(energy + 1000), price));
  }
});
