import { describe, expect, test } from 'vitest';
import type { TariffInput } from '../../src/tariff/config.ts';
import { compileTariffs, type Tariff } from '../../src/tariff/index.ts';
import { type Instant, instant, type LocalDate, type Span } from '../../src/units/index.ts';
import { flat, only, tallow, tariffOf, winnipeg } from './tariffs.ts';

const at = (iso: string): Instant => instant(Date.parse(iso));
const MARCH = at('2026-03-10T18:00Z');

describe('the billing month', () => {
  const dates = ({ from, to }: Span): [LocalDate, LocalDate] => [
    winnipeg.dateAt(from),
    winnipeg.dateAt(to),
  ];

  test('begins on the day of the tariff', () => {
    const tariff = only(tallow([], { billing_day: 20 }));
    expect(dates(tariff.month(MARCH))).toEqual(['2026-02-20', '2026-03-20']);
  });

  test('is cut where the tariff begins and where the next one does', () => {
    const { tariffs } = compileTariffs(
      {
        first: tallow([{ name: 'Meter', per_month: 31 }], { valid_from: '2026-03-06' }),
        next: flat(0.2, '2026-03-16'),
      },
      winnipeg,
      'CAD',
    );
    const [first] = tariffs as [Tariff];
    const month = first.month(MARCH);
    expect(dates(month)).toEqual(['2026-03-06', '2026-03-16']);
    // 10 of 31 days, one of them an hour short.
    expect(first.standing(month)).toBe(10_000_000);
    expect(first.bill(month, { byRate: new Map() }).lines).toEqual([
      { name: 'Meter', kind: 'standing', energy: undefined, perKwh: undefined, amount: 10_000_000 },
    ]);
    expect(first.to).toBe(tariffs[1]?.from);
  });
});

describe('where blocks end', () => {
  const seasons = {
    cold: { from: '10-16', to: '04-15' },
    warm: { from: '04-16', to: '10-15' },
  };
  const inBlocks = (blocks: object, rest: Partial<TariffInput> = {}): Tariff =>
    only(
      tariffOf(
        {
          kind: 'flat',
          prices_per_kwh: [0.1, 0.2],
          seasons,
          blocks: { ends_kwh: [300], ...blocks },
        },
        rest,
      ),
    );
  const endsAt = (tariff: Tariff, moment: string) =>
    tariff.blockEnds(tariff.month(at(moment)))?.map((end) => end / 1e6);

  test('by the month it is the same in each', () => {
    expect(endsAt(inBlocks({}), '2026-02-10T18:00Z')).toEqual([300]);
    expect(endsAt(inBlocks({}), '2026-03-10T18:00Z')).toEqual([300]);
  });

  test('by the day it is times the days of the month', () => {
    const tariff = inBlocks({ ends_kwh: [11.7], per: 'day' });
    expect(endsAt(tariff, '2026-02-10T18:00Z')).toEqual([327.6]);
    expect(endsAt(tariff, '2026-03-10T18:00Z')).toEqual([362.7]);
  });

  test('a month that is cut has its part by days', () => {
    expect(endsAt(inBlocks({}, { valid_from: '2026-03-22' }), '2026-03-25T18:00Z')).toEqual([
      96.774194, // 300 × 10 / 31
    ]);
  });

  test('a month in two seasons takes from each by its days', () => {
    const tariff = only(
      tariffOf({
        kind: 'flat',
        prices_per_kwh: [0.1, 0.2],
        seasons,
        blocks: { ends_kwh_by_season: { cold: [600], warm: [300] } },
      }),
    );
    expect(endsAt(tariff, '2026-01-10T18:00Z')).toEqual([600]);
    expect(endsAt(tariff, '2026-04-10T18:00Z')).toEqual([450]);
    expect(endsAt(tariff, '2026-07-10T18:00Z')).toEqual([300]);
  });

  test('a tariff without blocks has none', () => {
    const tariff = only(flat(0.1));
    expect(tariff.blockEnds(tariff.month(MARCH))).toBeUndefined();
    expect(tariff.blocksAt).toBe('average');
    expect(inBlocks({ priced_at: 'marginal' }).blocksAt).toBe('marginal');
  });
});
