import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import type { TariffInput } from '../../src/tariff/config.ts';
import { type BillUse, blockPrice, compileTariffs, type Tariff } from '../../src/tariff/index.ts';
import {
  apportion,
  Calendar,
  cost,
  HOUR,
  type Instant,
  instant,
  type MilliwattHours,
  milliwattHours,
  SLOT,
} from '../../src/units/index.ts';
import { tariffOf } from './tariffs.ts';

interface Month {
  readonly month: number;
  readonly kWh: number;
  readonly by_period: Readonly<Record<string, number>>;
  readonly bill: number;
}

interface Case {
  readonly weekday_schedule_12x24: readonly (readonly number[])[];
  readonly weekend_schedule_12x24: readonly (readonly number[])[];
  readonly energy_rates: readonly {
    readonly period: number;
    readonly max: number | null;
    readonly max_units: string;
    readonly buy: number;
  }[];
  readonly published_expected_annual_bill_usd: number;
  readonly published_tolerance: number;
  readonly recomputed_by_month: readonly Month[];
}

// Source: tests/reference/tariff/SOURCE.md.
const read = (name: string): string =>
  readFileSync(new URL(`../reference/tariff/${name}`, import.meta.url), 'utf8');
const cases: Record<string, Case> = JSON.parse(read('ssc_residential_tou_cases.json'));
const load = read('ssc_pvsamv1_residential_load_kW_hourly.csv').trim().split('\n').map(Number);

/** The year is a common one that begins on a Monday, in a zone without daylight saving. */
const YEAR = 2018;
const calendar = new Calendar('America/Phoenix');
const midnight = instant(Date.UTC(YEAR, 0, 1, 7));

/** Months of one schedule and one allowance. */
function alikeMonths(of: Case): number[][] {
  const alike = new Map<string, number[]>();
  for (let month = 0; month < 12; month += 1) {
    const key = JSON.stringify([monthHours(of, month), endOf(of, month)]);
    alike.set(key, [...(alike.get(key) ?? []), month]);
  }
  return [...alike.values()];
}

const monthHours = (of: Case, month: number) => [
  of.weekday_schedule_12x24[month] ?? [],
  of.weekend_schedule_12x24[month] ?? [],
];

function endOf(of: Case, month: number): number | null {
  const periods = monthHours(of, month).flat();
  const ends = of.energy_rates.filter(
    ({ period, max }) => periods.includes(period) && max !== null,
  );
  expect(new Set(ends.map(({ max }) => max)).size).toBeLessThanOrEqual(1);
  return ends[0]?.max ?? null;
}

/** Runs of months that follow each other over the new year, as seasons from day to day. */
function datesOf(months: readonly number[]): { from: string; to: string }[] {
  const starts = months.filter((month) => !months.includes((month + 11) % 12));
  return starts.map((first) => {
    let last = first;
    while (months.includes((last + 1) % 12)) last = (last + 1) % 12;
    const two = (value: number) => String(value).padStart(2, '0');
    const length = last === 1 ? 29 : new Date(Date.UTC(YEAR, last + 1, 0)).getUTCDate();
    return { from: `${two(first + 1)}-01`, to: `${two(last + 1)}-${length}` };
  });
}

type Periods = Extract<TariffInput['energy'], { kind: 'time-of-use' }>['periods'];

function hoursOf(schedule: readonly number[], days: 'weekdays' | 'weekend', season: string) {
  const periods: Periods = [];
  schedule.forEach((period, hour) => {
    const from = `${String(hour).padStart(2, '0')}:00`;
    const to = `${String(hour + 1).padStart(2, '0')}:00`;
    const last = periods.at(-1);
    if (last?.rate === `p${period}`) last.to = to;
    else periods.push({ rate: `p${period}`, season, days, from, to });
  });
  return periods;
}

/** The case as a configuration file would have it. */
function inputOf(of: Case): TariffInput['energy'] {
  const seasons = alikeMonths(of).flatMap((months, index) =>
    datesOf(months).map((dates, run) => ({ id: `season-${index}-${run}`, months, dates })),
  );
  const rates = [...new Set(of.energy_rates.map(({ period }) => period))].map((period) => {
    const prices = of.energy_rates.filter((each) => each.period === period).map(({ buy }) => buy);
    const [price = 0] = prices;
    return [
      `p${period}`,
      prices.length > 1 ? { prices_per_kwh: prices } : { price_per_kwh: price },
    ];
  });
  const tiered = of.energy_rates.some(({ max }) => max !== null);
  return {
    kind: 'time-of-use',
    seasons: Object.fromEntries(seasons.map(({ id, dates }) => [id, dates])),
    rates: Object.fromEntries(rates),
    periods: seasons.flatMap(({ id, months: [month = 0] }) => [
      ...hoursOf(of.weekday_schedule_12x24[month] ?? [], 'weekdays', id),
      ...hoursOf(of.weekend_schedule_12x24[month] ?? [], 'weekend', id),
    ]),
    ...(tiered
      ? {
          blocks: {
            per: 'day' as const,
            ends_kwh_by_season: Object.fromEntries(
              seasons.map(({ id, months: [month = 0] }) => [id, [endOf(of, month) ?? 0]]),
            ),
          },
        }
      : {}),
  };
}

describe.each([
  ['residential_tou', 771.8],
  ['residential_tou_tiered_daily_baseline', 1839.7],
])('the year of a published case, %s', (name, published) => {
  const of = cases[name] as Case;
  const book = compileTariffs(
    { case: tariffOf(inputOf(of), { valid_from: '2018-01-01' }) },
    calendar,
    'USD',
  );
  const [tariff] = book.tariffs as [Tariff];
  const months = of.recomputed_by_month.map(({ month }) =>
    tariff.month(instant(Date.UTC(YEAR, month - 1, 15))),
  );
  const uses = months.map((span) => useOf(span.from, span.to));

  /** The hourly load, booked by slots to the rate of each. */
  function useOf(from: Instant, to: Instant): BillUse {
    const byRate = new Map<string, { energy: MilliwattHours }>();
    for (let hour = from; hour < to; hour = instant(hour + HOUR)) {
      const kW = load[(hour - midnight) / HOUR] ?? Number.NaN;
      apportion(milliwattHours(kW * 1e6), [1, 1, 1, 1]).forEach((part, quarter) => {
        const id = book.rateAt(instant(hour + quarter * SLOT))?.id ?? 'none';
        const energy = milliwattHours((byRate.get(id)?.energy ?? 0) + part);
        byRate.set(id, { energy });
      });
    }
    return { byRate };
  }
  const houseOf = ({ byRate }: BillUse) =>
    milliwattHours([...byRate.values()].reduce((sum, { energy }) => sum + energy, 0));

  test('reads a load of 8760 hours', () => {
    expect(load).toHaveLength(8760);
    expect(of.published_expected_annual_bill_usd).toBe(published);
  });

  test('has each month its kWh by period (computed, from the same load)', () => {
    uses.forEach((use, index) => {
      const { kWh, by_period } = of.recomputed_by_month[index] as Month;
      const seen = [...use.byRate].map(([id, { energy }]) => [id.slice(1), energy / 1e6] as const);
      expect(
        Object.fromEntries(seen.map(([id, energy]) => [id, Number(energy.toFixed(4))])),
      ).toEqual(by_period);
      expect(Number((houseOf(use) / 1e6).toFixed(4))).toBe(kWh);
    });
  });

  test('costs each month what was computed, to 0.001', () => {
    uses.forEach((use, index) => {
      const ends = tariff.blockEnds(months[index] as (typeof months)[number]);
      const house = houseOf(use);
      let sum = 0;
      for (const rate of book.rates) {
        const energy = use.byRate.get(rate.id)?.energy ?? milliwattHours(0);
        const { price } = rate;
        if (price.kind === 'slots') throw new Error('no slot prices in this case');
        const perKwh =
          price.kind === 'fixed'
            ? price.perKwh
            : blockPrice(price.perKwh, ends ?? [], { house, part: house }, 'average');
        sum += cost(energy, perKwh);
      }
      expect(
        Math.abs(sum / 1e6 - (of.recomputed_by_month[index]?.bill ?? Number.NaN)),
      ).toBeLessThan(0.001);
    });
  });

  test('is billed in the year what its publisher says, each month to half a coin a line', () => {
    let year = 0;
    uses.forEach((use, index) => {
      const { lines, total } = tariff.bill(months[index] as (typeof months)[number], use);
      const computed = of.recomputed_by_month[index]?.bill ?? Number.NaN;
      expect(Math.abs(total / 1e6 - computed)).toBeLessThanOrEqual(lines.length * 0.005 + 0.0001);
      year += total / 1e6;
    });
    expect(Math.abs(year - published)).toBeLessThanOrEqual(of.published_tolerance);
  });
});
