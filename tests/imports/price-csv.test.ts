import { describe, expect, it } from 'vitest';
import { type PriceCsvOptions, type PriceImport, readPriceCsv } from '../../src/imports/index.ts';
import { HOUR, type Instant, type LocalDate } from '../../src/units/index.ts';
import { BERLIN, reference, refusalOf } from './sample.ts';

const read = (text: string, options: Partial<PriceCsvOptions> = {}) =>
  readPriceCsv([text], { calendar: BERLIN, series: 'day-ahead', ...options });

const at = (text: string): Instant => Date.parse(text) as Instant;

/**
 * Hourly day-ahead prices of Germany and Luxembourg, 2024: Bundesnetzagentur | SMARD.de, CC BY 4.0;
 * 29 of the hours are the same in an independent copy. See reference/tariff/SOURCE.md.
 */
const SMARD = reference('tariff/smard_de_lu_day_ahead_2024_hourly.csv');
const EXPECTED = JSON.parse(reference('tariff/smard_expected.json').toString());
const COLUMNS = { start: 'utc_start', price: 'eur_per_mwh', unit: 'per-mwh' } as const;

/** What the prices say in currency per MWh, over the given hours. */
function summed(prices: PriceImport['prices']) {
  const perMwh = prices.map(({ price }) => price / 1000);
  const sum = perMwh.reduce((a, b) => a + b, 0);
  return {
    hours: perMwh.length,
    sum: Number(sum.toFixed(2)),
    mean: sum / perMwh.length,
    min: Math.min(...perMwh),
    max: Math.max(...perMwh),
    negative: perMwh.filter((price) => price < 0).length,
  };
}

const within = ({ prices }: PriceImport, date: string) => {
  const day = BERLIN.dayOf(date as LocalDate);
  return prices.filter(({ from, to }) => from >= day.from && to <= day.to);
};

/** The same prices as a table in local time without offsets, as a spreadsheet in Berlin shows them. */
function inLocalTime({ prices }: PriceImport): string {
  const rows = prices.map(({ from, price }) => {
    const { date, minute } = BERLIN.local(from);
    const hour = String(Math.floor(minute / 60)).padStart(2, '0');
    return `${date} ${hour}:00;${String(price / 1000).replace('.', ',')}`;
  });
  return `start;price_per_mwh\r\n${rows.join('\r\n')}\r\n`;
}

describe('published day-ahead prices of 2024', () => {
  const smard = () =>
    readPriceCsv([SMARD], { calendar: BERLIN, series: 'day-ahead', columns: COLUMNS });

  it('are read with their mean, extremes and negative hours', async () => {
    const imported = await smard();
    const { mean, min, max, negative, hours } = summed(imported.prices);
    expect(hours).toBe(8760);
    expect(mean).toBeCloseTo(EXPECTED.mean, 5);
    expect([min, max, negative]).toEqual([
      EXPECTED.min,
      EXPECTED.max,
      EXPECTED.negative_hours_total,
    ]);
    expect(imported).toMatchObject({ holes: [], warnings: [] });
    expect(imported.span).toEqual({ from: at('2024-01-01T00:00Z'), to: at('2024-12-31T00:00Z') });
  });

  interface Day {
    readonly hours: number;
    readonly sum: number;
    readonly mean: number;
    readonly min: number;
    readonly max: number;
    readonly negative_hours: number;
  }
  const DAYS = Object.entries(EXPECTED.days) as [string, Day][];

  it.each(DAYS)('%s has its hours, sum, extremes and negative hours', async (date, expected) => {
    const found = summed(within(await smard(), date));
    expect(found.hours).toBe(expected.hours);
    expect(found.sum).toBe(expected.sum);
    expect(found.mean).toBeCloseTo(expected.mean, 4);
    expect([found.min, found.max, found.negative]).toEqual([
      expected.min,
      expected.max,
      expected.negative_hours,
    ]);
  });

  it('have 23 prices on the last day of March and 25 on the last Sunday of October', async () => {
    const imported = await smard();
    expect(within(imported, '2024-03-31')).toHaveLength(23);
    expect(within(imported, '2024-10-27')).toHaveLength(25);
  });

  it('equal an independent copy hour by hour', async () => {
    const { price, unix_seconds_first } = EXPECTED.energy_charts_fixture_2024_07_18;
    const { prices } = await smard();
    const first = prices.findIndex(({ from }) => from === unix_seconds_first * 1000);
    const found = prices.slice(first, first + price.length).map((slot) => slot.price / 1000);
    expect(found).toEqual(price);
    expect(found).toHaveLength(29);
  });

  it('are the same in local time, with the hour that comes twice and the one that never does', async () => {
    const imported = await smard();
    const local = await read(inLocalTime(imported));
    expect(local.prices).toEqual(imported.prices);
  });
});

describe('a table of prices', () => {
  const QUARTERS = '2026-01-14T00:00Z,0.1\n2026-01-14T00:15Z,0.2\n2026-01-14T00:30Z,-0.05\n';

  it('says per kWh or per MWh in the name of its column', async () => {
    const perKwh = await read(`start,price_per_kwh\n${QUARTERS}`);
    const perMwh = await read(
      `start,price_per_mwh\n${QUARTERS.replace(/,(-?)0\.(\d+)/g, ',$10.$2e3')}`,
    );
    expect(perKwh.prices.map(({ price }) => price)).toEqual([100_000, 200_000, -50_000]);
    expect(perMwh.prices).toEqual(perKwh.prices);
    expect(perKwh.prices[0]).toEqual({
      series: 'day-ahead',
      from: at('2026-01-14T00:00Z'),
      to: at('2026-01-14T00:15Z'),
      price: 100_000,
    });
  });

  it('may be in hundredths, in columns of other names', async () => {
    const columns = { start: 'From', end: 'To', price: 'ct/kWh', unit: 'cents-per-kwh' } as const;
    const text = 'From;To;ct/kWh\n2026-01-14 06:00;2026-01-14 07:00;12,345\n';
    const { prices } = await read(text, { columns });
    expect(prices).toMatchObject([{ price: 123_450, from: at('2026-01-14T05:00Z') }]);
  });

  it('has holes that are told', async () => {
    const text = `start,price_per_kwh\n${QUARTERS}2026-01-14T02:00Z,0.3\n`;
    const { prices, holes, warnings } = await read(text);
    expect(prices).toHaveLength(4);
    expect(holes).toEqual([{ from: at('2026-01-14T00:45Z'), to: at('2026-01-14T02:00Z') }]);
    expect(warnings).toEqual(['75 minutes in 1 holes have no price']);
  });

  it('may say a price twice, but not two prices', async () => {
    const twice = await read(`start,price_per_kwh\n${QUARTERS}2026-01-14T00:15Z,0.20\n`);
    expect(twice.prices).toHaveLength(3);
    expect(twice.warnings).toEqual(['1 prices stand in the file more than once']);
    const refusal = await refusalOf(
      read(`start,price_per_kwh\n${QUARTERS}2026-01-14T00:15Z,0.21\n`),
    );
    expect(refusal).toMatchObject({ code: 'AMP_CSV_OVERLAP', problems: [{ line: 5 }] });
    expect(refusal.message).toContain('line 3');
  });

  it('may have ends of its own, and different lengths', async () => {
    const text =
      'start,end,price_per_kwh\n2026-01-14T00:00Z,2026-01-14T01:00Z,0.1\n2026-01-14T01:00Z,2026-01-14T01:15Z,0.2\n';
    const { prices } = await read(text);
    expect(prices.map(({ from, to }) => (to - from) / HOUR)).toEqual([1, 0.25]);
  });

  it('tells how long a price holds by its steps, or is told', async () => {
    const one = 'start,price_per_kwh\n2026-01-14T00:00Z,0.1\n';
    const told = await read(one, { minutes: 60 });
    expect(told.prices[0]?.to).toBe(at('2026-01-14T01:00Z'));
    expect((await refusalOf(read(one))).code).toBe('AMP_CSV_STEP');
    const short = await refusalOf(read(`start,price_per_kwh\n${QUARTERS}`, { minutes: 60 }));
    expect(short.code).toBe('AMP_CSV_OVERLAP');
  });

  it('of hours and then quarter-hours is not taken for quarter-hours with holes', async () => {
    const rows = (from: number, step: number, count: number) =>
      Array.from(
        { length: count },
        (_, index) => `${new Date(from + index * step).toISOString().slice(0, 16)}Z,0.1`,
      );
    const day = at('2025-09-30T00:00Z');
    const text = [
      'start,price_per_kwh',
      ...rows(day, HOUR, 24),
      ...rows(day + 24 * HOUR, HOUR / 4, 96),
    ];
    const refusal = await refusalOf(read(text.join('\n')));
    expect(refusal.code).toBe('AMP_CSV_STEP');
    expect(refusal.message).toContain('60, 15');
  });

  it('of days or of uneven steps does not tell how long a price holds', async () => {
    const days = 'start,price_per_kwh\n2026-01-14,0.1\n2026-01-15,0.1\n2026-01-16,0.1\n';
    expect((await refusalOf(read(days))).code).toBe('AMP_CSV_STEP');
    const uneven = `start,price_per_kwh\n${QUARTERS}2026-01-14T00:55Z,0.1\n`;
    expect((await refusalOf(read(uneven))).code).toBe('AMP_CSV_STEP');
  });

  it.each([
    { text: 'start,price\n2026-01-14,1\n', code: 'AMP_CSV_HEADER', line: 1 },
    {
      text: 'start,price_per_kwh,price_per_mwh\n2026-01-14,1,1\n',
      code: 'AMP_CSV_HEADER',
      line: 1,
    },
    { text: 'start,price_per_kwh\n2026-01-14T00:05Z,1\n', code: 'AMP_CSV_TIME', line: 2 },
    { text: 'start,price_per_kwh\n2026-01-14,free\n', code: 'AMP_CSV_NUMBER', line: 2 },
    { text: 'start,price_per_kwh\n2026-01-14,100001\n', code: 'AMP_CSV_NUMBER', line: 2 },
    { text: 'start,price_per_kwh\n2024-03-31 02:00,1\n', code: 'AMP_CSV_TIME', line: 2 },
    { text: 'start,price_per_kwh\n2024-10-27 02:00,1\n', code: 'AMP_CSV_TIME', line: 2 },
    {
      text: 'start,end,price_per_kwh\n2026-01-14 02:00,2026-01-14 01:00,1\n',
      code: 'AMP_CSV_TIME',
      line: 2,
    },
    { text: 'start,price_per_kwh\n', code: 'AMP_CSV_EMPTY' },
  ])('is refused with $code: $text', async ({ text, code, line }) => {
    const refusal = await refusalOf(read(text, { minutes: 60 }));
    expect(refusal.code).toBe(code);
    expect(refusal.remedy).toMatch(/\w/);
    if (line !== undefined) expect(refusal.problems[0]?.line).toBe(line);
  });
});
