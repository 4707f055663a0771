import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import type { HouseInterval } from '../../src/books/index.ts';
import {
  Calendar,
  type Instant,
  instant,
  type LocalDate,
  type MicroUnits,
  type MilliwattHours,
  SLOT,
} from '../../src/units/index.ts';
import { flat } from '../tariff/tariffs.ts';
import { device, entry } from './fish-room.ts';
import { type Household, reconciled } from './household.ts';

// Published sample months in the open format of NAESB REQ.21 (ESPI), and the sums computed from
// them apart from this project: tests/reference/espi/SOURCE.md.
const FOLDER = new URL('../reference/espi/', import.meta.url);

interface Published {
  readonly readings: number;
  readonly energy_kWh: number;
  readonly cost_usd: number;
  readonly first_and_odd_days: readonly {
    readonly start: number;
    readonly duration_s: number;
    readonly readings: number;
    readonly value_sum_Wh: number;
    readonly cost_sum_1e5: number;
  }[];
}

const EXPECTED = JSON.parse(readFileSync(new URL('expected.json', FOLDER), 'utf8')) as Record<
  string,
  Published
>;
const FILES = Object.keys(EXPECTED).filter((name) => name.endsWith('.xml'));
const calendar = new Calendar('America/New_York');

const numberIn = (text: string, tag: string): number =>
  Number(new RegExp(`<(?:\\w+:)?${tag}>(\\d+)</`).exec(text)?.[1]);

const intervalsOf = (file: string): HouseInterval[] =>
  [
    ...readFileSync(new URL(file, FOLDER), 'utf8').matchAll(
      /<((?:\w+:)?IntervalReading)>[\s\S]*?<\/\1>/g,
    ),
  ].map(([text]) => {
    const start = numberIn(text, 'start');
    return {
      meter: 'main',
      from: instant(start * 1000),
      to: instant((start + numberIn(text, 'duration')) * 1000),
      energy: (numberIn(text, 'value') * 1000) as MilliwattHours,
      cost: (numberIn(text, 'cost') * 10) as MicroUnits,
      quality: 'valid',
    };
  });

/** A lamp of 100 W that is counted all the time, so that its sums need no program. */
const lampIn = (of: Pick<Household, 'days' | 'house'>) => {
  const from = calendar.dayOf(of.days[0] as LocalDate).from;
  const to = calendar.dayOf(of.days[1] as LocalDate).to;
  return reconciled({
    zone: 'America/New_York',
    currency: 'USD',
    tariffs: { one: flat(0.1, '2011-01-01') },
    devices: { lamp: device('light', 100, { plug: 'rack-1', tank: 'reed' }) },
    entries: Array.from({ length: (to - from) / SLOT }, (_, index) =>
      entry((from + index * SLOT) as Instant, 'lamp', 25_000),
    ),
    ...of,
  });
};

describe.each(FILES)('%s', (file) => {
  const published = EXPECTED[file] as Published;
  const house = intervalsOf(file);
  const first = house[0] as HouseInterval;
  const last = house.at(-1) as HouseInterval;

  test('sums to the published energy and cost', () => {
    expect(house).toHaveLength(published.readings);
    const days = [calendar.dateAt(first.from), calendar.dateAt((last.to - 1) as Instant)] as const;
    const of = lampIn({ days, house });
    const kwh = Math.round(published.energy_kWh * 1e6);
    expect(of.house?.energy).toBe(kwh);
    expect(of.house?.cost).toBe(Math.round(published.cost_usd * 1e6));
    expect(of.house?.covered).toBe(last.to - first.from);
    const lamp = ((last.to - first.from) / 3_600_000) * 100_000;
    expect(of.whole.both.fishRoom).toBe(lamp);
    expect(of.whole.part).toBe(lamp / kwh);
    expect(of.whole.rest).toBe(kwh - lamp);
    expect(of.findings).toEqual([]);
  });

  test.each(published.first_and_odd_days)('the day from $start has its $duration_s s', (odd) => {
    const start = instant(odd.start * 1000);
    const date = calendar.dateAt(start);
    const of = lampIn({ days: [date, date], house });
    expect(of.span).toEqual({ from: start, to: start + odd.duration_s * 1000 });
    expect(of.house?.energy).toBe(odd.value_sum_Wh * 1000);
    expect(of.house?.cost).toBe(odd.cost_sum_1e5 * 10);
    expect(of.house?.covered).toBe(odd.duration_s * 1000);
    expect(of.fishRoom.energy).toBe((odd.duration_s / 36) * 1000);
    // By the wall clock: an hour that was skipped has no row of energy, one shown twice has two.
    const lengths = of.hours.map(({ both }) => both.time / 3_600_000);
    const usual = Array.from({ length: 24 }, () => 1);
    if (odd.duration_s === 82_800) usual[2] = 0;
    if (odd.duration_s === 90_000) usual[1] = 2;
    expect(lengths).toEqual(usual);
    expect(of.hours.reduce((sum, row) => sum + (row.house ?? 0), 0)).toBe(of.house?.energy);
  });
});

test('the samples hold a day of 23 and one of 25 hours', () => {
  const lengths = FILES.flatMap((file) =>
    (EXPECTED[file] as Published).first_and_odd_days.map(({ duration_s }) => duration_s / 3600),
  );
  expect([...new Set(lengths)].sort()).toEqual([23, 24, 25]);
});
