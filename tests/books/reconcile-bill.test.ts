import { describe, expect, test } from 'vitest';
import type { Reconciliation } from '../../src/books/index.ts';
import { DAY, HOUR, later, microPerKwh } from '../../src/units/index.ts';
import { flat, period, tariffOf, timeOfUse } from '../tariff/tariffs.ts';
import { billOf, interval, metered, published, reconciled, spanOf } from './household.ts';

/** A house without a fish room: only the bill is looked at. */
const MARCH = {
  zone: 'America/Winnipeg',
  days: ['2026-03-01', '2026-03-31'],
  devices: {},
} as const;
const span = spanOf(MARCH);
const HOURS = (span.to - span.from) / HOUR;

const found = (of: Reconciliation) => of.findings.map(({ code }) => code);
/** 1 kWh an hour: 743 kWh, since March has a day of 23 hours. */
const steady = metered(span, HOUR, () => 1000);

test('the month is one hour short where the clock is set forward', () => {
  expect(HOURS).toBe(743);
});

describe('a bill against the intervals', () => {
  const against = (kwh: number, house = steady) =>
    reconciled({ ...MARCH, house, bill: billOf(kwh, undefined) });

  test('agrees within the whole kWh that bills are written in', () => {
    for (const kwh of [742, 743, 744]) {
      const of = against(kwh);
      expect(found(of)).toEqual([]);
      expect(of.bill.energyDifference).toBe((kwh - 743) * 1e6);
    }
  });

  test('differs by so much and so many percent', () => {
    expect(against(780).findings).toEqual([
      {
        code: 'bill-differs-from-intervals',
        stated: 780_000_000,
        counted: 743_000_000,
        difference: 37_000_000,
        fraction: 37 / 743,
      },
    ]);
    expect(against(741).findings).toMatchObject([{ difference: -2_000_000 }]);
  });

  test('is no contradiction where intervals that are missing may explain it', () => {
    const of = against(780, steady.slice(0, -48));
    expect(found(of)).toEqual(['intervals-missing']);
    expect(of.bill.counted).toBeUndefined();
    expect(of.bill.energyDifference).toBeUndefined();
  });

  test('is one where even those that are there are too much', () => {
    expect(found(against(600, steady.slice(0, -48)))).toEqual([
      'bill-differs-from-intervals',
      'intervals-missing',
    ]);
  });

  test('of two meters may be off by a whole kWh each', () => {
    const house = [...steady, ...metered(span, HOUR, () => 1000, { meter: 'cottage' })];
    expect(found(against(1488, house))).toEqual([]);
    expect(found(against(1489, house))).toEqual(['bill-differs-from-intervals']);
  });
});

describe('a bill against the tariff', () => {
  // By hand: 743 × 0.20 = 148.60; + 12.50 standing = 161.10; + 5 % = 8.055, to the coin 8.06.
  const lantern = tariffOf(
    { kind: 'flat', price_per_kwh: 0.2 },
    {
      charges: [
        { name: 'meter', per_month: 12.5 },
        { name: 'tax', percent: 5 },
      ],
    },
  );
  const against = (total: number, kwh: number | undefined, house = steady) =>
    reconciled({ ...MARCH, tariffs: { lantern }, house, bill: billOf(kwh, total) });

  test('is what a calculator says, line by line', () => {
    const { computed, totalDifference } = against(169.16, 743).bill;
    expect(computed?.bills[0]?.lines.map(({ amount }) => amount)).toEqual([
      148_600_000, 12_500_000, 8_060_000,
    ]);
    expect(computed).toMatchObject({ total: 169_160_000, from: 'stated', tolerance: 30_000 });
    expect(totalDifference).toBe(0);
  });

  test('agrees within one coin a line', () => {
    expect(found(against(169.19, 743))).toEqual([]);
    expect(found(against(169.13, 743))).toEqual([]);
    expect(against(169.2, 743).findings).toEqual([
      {
        code: 'bill-differs-from-tariff',
        stated: 169_200_000,
        computed: 169_160_000,
        difference: 40_000,
        tolerance: 30_000,
      },
    ]);
  });

  test('can be judged without intervals, by the energy it states', () => {
    const of = against(180, 743, []);
    expect(of.bill).toMatchObject({ counted: undefined, computed: { total: 169_160_000 } });
    expect(found(of)).toEqual(['bill-differs-from-tariff']);
  });

  test('judges its own energy, whatever the intervals say of that', () => {
    expect(
      found(
        against(
          169.16,
          743,
          metered(span, HOUR, () => 900),
        ),
      ),
    ).toEqual(['bill-differs-from-intervals']);
  });

  test('goes by the intervals where it states no energy, within a whole kWh', () => {
    expect(against(169.4, undefined).bill.computed).toMatchObject({
      from: 'intervals',
      tolerance: 30_000 + 210_000,
    });
    expect(found(against(169.4, undefined))).toEqual([]);
    expect(found(against(169.41, undefined))).toEqual(['bill-differs-from-tariff']);
  });

  test('is not judged where neither is known', () => {
    const of = against(500, undefined, steady.slice(1));
    expect(of.bill.computed).toBeUndefined();
    expect(found(of)).toEqual(['intervals-missing']);
  });

  test('is computed without a bill too', () => {
    const of = reconciled({ ...MARCH, tariffs: { lantern }, house: steady });
    expect(of.bill).toMatchObject({ kept: undefined, computed: { total: 169_160_000 } });
  });

  test('is not computed before there is a tariff', () => {
    const late = flat(0.2, '2026-03-02');
    const of = reconciled({ ...MARCH, tariffs: { late }, house: steady, bill: billOf(743, 99) });
    expect(of.bill.computed).toBeUndefined();
    expect(found(of)).toEqual([]);
  });
});

describe('under rates by the hour', () => {
  const tariffs = {
    lantern: timeOfUse({ day: 0.3, night: 0.1 }, [
      period('day', '06:00', '22:00'),
      period('night', '22:00', '06:00'),
    ]),
  };

  test('the energy that is stated is divided as the intervals are', () => {
    // 31 × 16 h of day, and 743 − 496 = 247 h of night: 148.80 + 24.70.
    const of = reconciled({ ...MARCH, tariffs, house: steady, bill: billOf(743, 173.5) });
    expect(of.bill.computed).toMatchObject({ total: 173_500_000, from: 'stated' });
    expect(found(of)).toEqual([]);
  });

  test('a whole kWh of each rate is no contradiction: bills state each in whole ones', () => {
    const total = (amount: number) =>
      found(reconciled({ ...MARCH, tariffs, house: steady, bill: billOf(743, amount) }));
    expect(total(173.5 + 0.62)).toEqual([]);
    expect(total(173.5 + 0.63)).toEqual(['bill-differs-from-tariff']);
  });

  test('a bill that states more than was counted is not called mispriced for that too', () => {
    const of = reconciled({ ...MARCH, tariffs, house: steady, bill: billOf(800, 185) });
    expect(of.bill.computed).toMatchObject({ from: 'intervals' });
    expect(found(of)).toEqual(['bill-differs-from-intervals']);
  });

  test('a bill without intervals cannot be judged', () => {
    const of = reconciled({ ...MARCH, tariffs, bill: billOf(743, 500) });
    expect(of.bill.computed).toBeUndefined();
    expect(of.findings).toEqual([]);
  });
});

test('a tariff that changes within a bill makes two bills of it', () => {
  const tariffs = { old: flat(0.2, '2026-01-01'), new: flat(0.4, '2026-03-17') };
  const of = reconciled({ ...MARCH, tariffs, house: steady });
  // 16 days less an hour at 0.20, 15 days at 0.40: 383 × 0.20 + 360 × 0.40.
  expect(of.bill.computed?.bills.map(({ total }) => total)).toEqual([76_600_000, 144_000_000]);
});

test('a bill of two months fills the blocks of each month', () => {
  const days = ['2026-03-01', '2026-04-30'] as const;
  const tariffs = {
    steps: tariffOf({
      kind: 'flat',
      prices_per_kwh: [0.1, 0.2],
      blocks: { ends_kwh: [700] },
    }),
  };
  const house = metered(spanOf({ ...MARCH, days }), HOUR, () => 1000);
  const of = reconciled({ ...MARCH, days, tariffs, house });
  // March: 700 × 0.10 + 43 × 0.20; April: 700 × 0.10 + 20 × 0.20.
  expect(of.bill.computed?.bills.map(({ total }) => total)).toEqual([78_600_000, 74_000_000]);
});

test('a bill from another day than the billing one is one bill', () => {
  const days = ['2026-03-05', '2026-04-04'] as const;
  const tariffs = { lantern: flat(0.2) };
  const house = metered(spanOf({ ...MARCH, days }), HOUR, () => 1000);
  expect(reconciled({ ...MARCH, days, tariffs, house }).bill.computed?.bills).toHaveLength(1);
});

describe('under prices by the slot', () => {
  const days = ['2026-03-03', '2026-03-03'] as const;
  const day = spanOf({ ...MARCH, days });
  const tariffs = {
    spot: tariffOf({ kind: 'slot-prices', series: 'day-ahead', factor: 2, adder_per_kwh: 0.05 }),
  };
  const house = metered(day, HOUR, (index) => index * 100);
  const prices = Array.from({ length: 24 }, (_, index) => {
    const from = later(day.from, index * HOUR);
    return published({ from, to: later(from, HOUR) }, (index - 3) / 100);
  });

  test('each hour has its own price, negative ones too', () => {
    const of = reconciled({ ...MARCH, days, tariffs, house, prices });
    const byHand = house.reduce((sum, { energy }, index) => {
      return sum + energy * (2 * microPerKwh((index - 3) / 100) + 50_000);
    }, 0);
    expect(of.bill.computed?.total).toBe(Math.round(byHand / 1e6 / 10_000) * 10_000);
  });

  test('an hour without a price leaves the bill unknown', () => {
    const holed = prices.filter((_, index) => index !== 12);
    const of = reconciled({ ...MARCH, days, tariffs, house, prices: holed, bill: billOf(1, 1) });
    expect(of.bill.computed).toBeUndefined();
    expect(found(of)).toEqual(['bill-differs-from-intervals']);
  });

  test('but not where nothing was drawn in it', () => {
    const holed = prices.filter((_, index) => index !== 0);
    expect(
      reconciled({ ...MARCH, days, tariffs, house, prices: holed }).bill.computed,
    ).toBeDefined();
  });
});

test('a day read once is a bill of the right energy', () => {
  const days = ['2026-03-03', '2026-03-03'] as const;
  const day = spanOf({ ...MARCH, days });
  const of = reconciled({
    ...MARCH,
    days,
    house: [interval(day.from, later(day.from, DAY), 24_000)],
  });
  expect(of.bill.computed?.total).toBe(4_800_000);
});
