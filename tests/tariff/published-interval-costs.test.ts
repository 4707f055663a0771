import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { compileTariffs, type TariffBook } from '../../src/tariff/index.ts';
import {
  Calendar,
  cost,
  type Instant,
  instant,
  MINUTE,
  milliwattHours,
} from '../../src/units/index.ts';
import { fixedPrice, period, timeOfUse } from './tariffs.ts';

interface Published {
  readonly start: Instant;
  readonly wh: number;
  /** Micro-units. */
  readonly cost: number;
}

// Source: tests/reference/espi/SOURCE.md.
function intervals(file: string): Published[] {
  const xml = readFileSync(new URL(`../reference/espi/${file}`, import.meta.url), 'utf8');
  const number = (text: string, tag: string): number =>
    Number(new RegExp(`<(?:\\w+:)?${tag}>(\\d+)</`).exec(text)?.[1]);
  return [...xml.matchAll(/<(?:\w+:)?IntervalReading>[\s\S]*?<\/(?:\w+:)?IntervalReading>/g)].map(
    ([text]) => ({
      start: instant(number(text, 'start') * 1000),
      wh: number(text, 'value'),
      cost: number(text, 'cost') * 10, // 1e-5 USD
    }),
  );
}

type Days = Parameters<typeof period>[3];

/** A day from midnight on: each band's rate with the hour at which it ends. */
function bands(days: Days, ...list: readonly (readonly [string, number])[]) {
  const wall = (hour: number): string => `${String(hour).padStart(2, '0')}:00`;
  return list.map(([rate, to], index) =>
    period(rate, wall(list[index - 1]?.[1] ?? 0), wall(to), days),
  );
}

// The prices are not in the files. Read off from cost / value of November 2011, whole month and on
// both sides of the change on the 6th, by the clock of UTC−5; no source.
const prices = { p03: 0.03, p06: 0.06, p09: 0.09, p12: 0.12, p15: 0.15 };
const [early, morning] = [['p03', 6] as const, ['p06', 14] as const];
const busyEvening = [
  ...[['p24', 20] as const, ['p18', 21] as const, ['p12', 22] as const],
  ...[['p06', 23] as const, ['p03', 24] as const],
];
const quietEvening = [
  ...[['p12', 20] as const, ['p09', 21] as const, ['p06', 22] as const, ['p03', 24] as const],
];
const busyDay = [
  ...[early, morning, ['p12', 15] as const, ['p18', 16] as const],
  ...[['p24', 17] as const, ['p30', 19] as const],
];
const quietDay = [
  ...[early, morning, ['p09', 15] as const, ['p12', 16] as const, ['p15', 19] as const],
];
const periods = [
  ...bands(['monday', 'tuesday', 'wednesday', 'thursday'], ...busyDay, ...busyEvening),
  ...bands(['friday'], ...busyDay, ...quietEvening),
  ...bands(['saturday'], ...quietDay, ...quietEvening),
  ...bands(['sunday'], ...quietDay, ...busyEvening),
];

const bookBy = (clock: 'local' | 'standard'): TariffBook =>
  compileTariffs(
    {
      bands: timeOfUse({ ...prices, p18: 0.18, p24: 0.24, p30: 0.3 }, periods, '2011-10-01', {
        clock,
      }),
    },
    new Calendar('America/New_York'),
    'USD',
  );
const byStandardTime = bookBy('standard');
const byLocalTime = bookBy('local');

/** The publisher priced before cutting the energy to whole Wh. */
function agrees(book: TariffBook, { start, wh, cost: published }: Published): boolean {
  const price = fixedPrice(book.rateAt(start));
  return (
    published >= cost(milliwattHours(wh * 1000), price) &&
    published < cost(milliwattHours((wh + 1) * 1000), price)
  );
}
const differing = (book: TariffBook, list: readonly Published[]): string[] =>
  list.filter((each) => !agrees(book, each)).map(({ start }) => new Date(start).toISOString());

describe('published intervals cost what their publisher says, by a clock of standard time', () => {
  test.each([
    ['openespi_test_usage_data_01.xml', 96, 'Thursday, 1 March 2012'],
    ['openespi_test_usage_data_02.xml', 96, 'Friday, 2 March 2012'],
    ['openespi_test_usage_data_11.xml', 92, 'Sunday, 11 March 2012, 23 hours long'],
    [
      'openespi_hourlyForMonthNov2011.xml',
      721,
      'November 2011, by the hour, a day of 25 among them',
    ],
  ])('%s: %i of %s', (file, count) => {
    const list = intervals(file);
    expect(list).toHaveLength(count);
    // The first two of March 2012 were edited by hand.
    const edited = file.endsWith('01.xml') ? list.splice(0, 2) : [];
    expect(edited.map(({ cost: each }) => each)).toEqual(edited.length > 0 ? [9740, 9650] : []);
    expect(differing(byStandardTime, list)).toEqual([]);
  });
});

describe('by the local clock, which moves to daylight saving, the same bands', () => {
  test('are right while both clocks are the same', () => {
    const list = intervals('openespi_test_usage_data_02.xml');
    expect(differing(byLocalTime, list)).toEqual([]);
  });

  test('are an hour early on 11 March 2012 from the change on', () => {
    const wrong = differing(byLocalTime, intervals('openespi_test_usage_data_11.xml'));
    // The first hour of each band that begins at 06, 14, 15, 16, 19, 20, 21, 22 and 23 by UTC−5.
    const starts = [6, 14, 15, 16, 19, 20, 21, 22, 23].map((hour) =>
      Date.UTC(2012, 2, 11, hour + 4),
    );
    const quarters = starts.flatMap((start) =>
      [0, 15, 30, 45].map((minute) => start + minute * MINUTE),
    );
    expect(wrong).toEqual(quarters.map((time) => new Date(time).toISOString()));
  });
});
