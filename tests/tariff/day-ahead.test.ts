import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { compileTariffs, type Tariff } from '../../src/tariff/index.ts';
import {
  Calendar,
  HOUR,
  type Instant,
  instant,
  type LocalDate,
  microPerKwh,
  milliwattHours,
} from '../../src/units/index.ts';
import { tariffOf } from './tariffs.ts';

// Source: tests/reference/tariff/SOURCE.md. The day means are computed, from the same prices.
const read = (name: string): string =>
  readFileSync(new URL(`../reference/tariff/${name}`, import.meta.url), 'utf8');
const expected: {
  readonly zone: string;
  readonly negative_hours_total: number;
  readonly days: Readonly<
    Record<string, { hours: number; sum: number; min: number; max: number; negative_hours: number }>
  >;
  readonly energy_charts_fixture_2024_07_18: { unix_seconds_first: number; price: number[] };
} = JSON.parse(read('smard_expected.json'));

/** EUR/MWh by the start of each hour. */
const published = new Map<Instant, number>(
  read('smard_de_lu_day_ahead_2024_hourly.csv')
    .trim()
    .split('\n')
    .slice(2)
    .map((line) => {
      const [hour = '', price = ''] = line.split(',');
      return [instant(Date.parse(hour.replace('Z', ':00Z'))), Number(price)];
    }),
);
const berlin = new Calendar(expected.zone);
const micro = (eurPerMwh: number) => microPerKwh(eurPerMwh / 1000);

type SlotPrices = Omit<Extract<Parameters<typeof tariffOf>[0], { kind: 'slot-prices' }>, 'kind'>;

function tariffFor(
  formula: Partial<SlotPrices> = {},
  rest: Parameters<typeof tariffOf>[1] = {},
): Tariff {
  const energy = { kind: 'slot-prices' as const, series: 'day-ahead', ...formula };
  const [tariff] = compileTariffs({ spot: tariffOf(energy, rest) }, berlin, 'EUR').tariffs;
  if (tariff === undefined) throw new Error('one tariff went in');
  return tariff;
}

/** The prices of a local day. */
function pricesOn(date: string): number[] {
  const { from, to } = berlin.dayOf(date as LocalDate);
  const prices: number[] = [];
  for (let hour = from; hour < to; hour = instant(hour + HOUR)) {
    const price = published.get(hour);
    if (price !== undefined) prices.push(price);
  }
  return prices;
}

describe('a year of day-ahead prices', () => {
  test('has 8760 hours, 457 of them below nothing', () => {
    expect(published.size).toBe(8760);
    const plain = tariffFor();
    const below = [...published.values()].filter((price) => plain.slotPrice(micro(price)) < 0);
    expect(below).toHaveLength(457);
    expect(expected.negative_hours_total).toBe(457);
  });

  test('is the same as another publisher has it, where both were found', () => {
    const { unix_seconds_first: first, price } = expected.energy_charts_fixture_2024_07_18;
    const ours = price.map((_, hour) => published.get(instant(first * 1000 + hour * HOUR)));
    expect(ours).toEqual(price);
  });

  test.each([
    ['2024-03-31', 23, 0],
    ['2024-10-27', 25, 0],
    ['2024-05-12', 24, 9],
    ['2024-07-18', 24, 0],
    ['2024-12-12', 24, 0],
  ])(
    'on %s there are %i prices, %i of them below nothing; their sum is the published one',
    (date, hours, negative) => {
      const plain = tariffFor();
      const prices = pricesOn(date).map((price) => plain.slotPrice(micro(price)));
      const day = expected.days[date];
      expect(prices).toHaveLength(hours);
      expect(prices.filter((price) => price < 0)).toHaveLength(negative);
      // Micro-units per kWh are thousandths of EUR/MWh: the sum is exact.
      expect(prices.reduce<number>((a, b) => a + b, 0)).toBe(Math.round((day?.sum ?? 0) * 1000));
      expect([Math.min(...prices), Math.max(...prices)]).toEqual(
        [day?.min ?? 0, day?.max ?? 0].map((price) => Math.round(price * 1000)),
      );
      expect(day).toMatchObject({ hours, negative_hours: negative });
    },
  );
});

describe('what the keeper pays in a slot', () => {
  test('is factor times the published price, plus the adder, plus what is charged, with tax', () => {
    const tariff = tariffFor(
      { factor: 1.05, adder_per_kwh: 0.0125 },
      {
        charges: [
          { name: 'network', per_kwh: 0.0811 },
          { name: 'levy', per_kwh: 0.0205 },
          { name: 'VAT', percent: 19 },
        ],
      },
    );
    // 0.20 × 1.05 + 0.0125 = 0.2225; + 0.1016 = 0.3241; × 1.19 = 0.385679, worked by hand.
    expect(tariff.energyPrice(microPerKwh(0.2))).toBe(222_500);
    expect(tariff.slotPrice(microPerKwh(0.2))).toBe(385_679);
    // −0.13545 × 1.05 + 0.0125 = −0.1297225; + 0.1016 = −0.0281225; × 1.19 = −0.033465775.
    expect(tariff.slotPrice(microPerKwh(-0.13545))).toBe(-33_466);
  });

  test('never leaves floor and cap, over the whole year, and is straight in between', () => {
    const tariff = tariffFor(
      { factor: 1.2, adder_per_kwh: 0.01, floor_per_kwh: 0, cap_per_kwh: 0.4 },
      { charges: [{ name: 'VAT', percent: 20 }] },
    );
    const seen = { floor: 0, cap: 0, between: 0 };
    for (const price of published.values()) {
      // In hundredths of EUR/MWh, which are 10 micro-units per kWh: whole numbers.
      const straight = Math.round(price * 100) * 12 + 10_000;
      const bounded = Math.min(400_000, Math.max(0, straight));
      expect(tariff.energyPrice(micro(price))).toBe(bounded);
      expect(tariff.slotPrice(micro(price))).toBe(Math.round((bounded * 6) / 5));
      if (bounded === straight) seen.between += 1;
      else if (bounded === 0) seen.floor += 1;
      else seen.cap += 1;
    }
    // So that none of the three passes for not being there.
    expect(Math.min(seen.floor, seen.cap, seen.between)).toBeGreaterThan(0);
    expect(seen.floor + seen.cap + seen.between).toBe(8760);
  });

  test('is one rate in all slots, whose price only its series tells', () => {
    const book = compileTariffs(
      { spot: tariffOf({ kind: 'slot-prices', series: 'day-ahead' }) },
      berlin,
      'EUR',
    );
    expect(book.rateAt(instant(Date.UTC(2024, 4, 12, 11)))).toEqual({
      key: 'spot/slots',
      id: 'slots',
      name: 'slot prices',
      tariff: 'spot',
      price: { kind: 'slots' },
    });
    expect(book.tariffs[0]?.series).toBe('day-ahead');
  });
});

describe('the bill of a month of slot prices', () => {
  const energies = new Map(
    pricesOn('2024-05-12').map((price, hour) => [hour, { mWh: 100_000 + hour * 7, price }]),
  );
  const sum = (each: (part: { mWh: number; price: number }) => bigint): bigint =>
    [...energies.values()].reduce((total, part) => total + each(part), 0n);
  const energy = milliwattHours(Number(sum(({ mWh }) => BigInt(mWh))));
  const publishedSum = sum(({ mWh, price }) => BigInt(mWh) * BigInt(micro(price)));
  const month = (tariff: Tariff) => tariff.month(instant(Date.UTC(2024, 4, 12)));

  test('is the sum of its slots, to the coin', () => {
    const tariff = tariffFor({ factor: 1.5, adder_per_kwh: 0.1 });
    const byRate = new Map([['slots', { energy, published: publishedSum }]]);
    const exact = (Number(publishedSum) * 1.5) / 1e6 + energy * 0.1;
    expect(tariff.bill(month(tariff), { byRate }).total).toBe(Math.round(exact / 1e4) * 1e4);
  });

  test('with a floor rests on what the formula made of each price', () => {
    const tariff = tariffFor({ floor_per_kwh: 0 });
    const formed = sum(({ mWh, price }) => BigInt(mWh) * BigInt(tariff.energyPrice(micro(price))));
    expect(formed).toBeGreaterThan(publishedSum);
    const use = { byRate: new Map([['slots', { energy, published: publishedSum, formed }]]) };
    expect(tariff.bill(month(tariff), use).total).toBe(
      Math.round(Number(formed) / 1e6 / 1e4) * 1e4,
    );
  });

  test.each([
    ['published prices that a floor bends', { floor_per_kwh: 0 }, { published: publishedSum }],
    ['no prices at all', {}, {}],
  ])('is refused rather than guessed from %s', (_, formula, told) => {
    const tariff = tariffFor(formula);
    const use = { byRate: new Map([['slots', { energy, ...told }]]) };
    expect(() => tariff.bill(month(tariff), use)).toThrow(
      expect.objectContaining({ code: 'AMP_TARIFF_BILL' }),
    );
  });
});
