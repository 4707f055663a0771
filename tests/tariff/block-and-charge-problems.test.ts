import { describe, expect, test } from 'vitest';
import type { TariffInput } from '../../src/tariff/config.ts';
import { energyProblems, twoSeasons } from './tariffs.ts';

describe('blocks', () => {
  const blocks = { ends_kwh: [250, 700] };
  const inBlocks = (energy: Partial<Extract<TariffInput['energy'], { kind: 'flat' }>>) =>
    energyProblems({ kind: 'flat', blocks, prices_per_kwh: [0.1, 0.2, 0.3], ...energy });

  test('with a price for each are right', () => {
    expect(inBlocks({})).toEqual([]);
    expect(
      inBlocks({
        seasons: twoSeasons,
        blocks: { ends_kwh_by_season: { cold: [300, 600], warm: [200, 500] } },
      }),
    ).toEqual([]);
  });

  test.each([
    [{ ends_kwh: [700, 250] }, 'AMP_TARIFF_BLOCKS energy.blocks.ends_kwh.1'],
    [{ ends_kwh: [250, 250] }, 'AMP_TARIFF_BLOCKS energy.blocks.ends_kwh.1'],
    [{ ends_kwh: [0.0000001, 250] }, 'AMP_TARIFF_PRICE energy.blocks.ends_kwh.0'],
    [{ ends_kwh: [250] }, 'AMP_TARIFF_BLOCKS energy.prices_per_kwh: 3 prices for 2 blocks'],
    [{}, 'AMP_TARIFF_ONE_OF energy.blocks: neither ends_kwh nor ends_kwh_by_season'],
    [
      { ends_kwh_by_season: { wet: [1, 2] } },
      'AMP_TARIFF_SEASON energy.blocks.ends_kwh_by_season.wet: the key wet',
    ],
  ])('%j: %s', (wrong, problem) => {
    expect(inBlocks({ blocks: wrong })).toEqual([problem]);
  });

  test('that a season lacks, or has more of than another, are refused', () => {
    const bySeason = (ends_kwh_by_season: Record<string, number[]>) =>
      inBlocks({ seasons: twoSeasons, blocks: { ends_kwh_by_season } });
    expect(bySeason({ cold: [1, 2] })).toEqual([
      'AMP_TARIFF_BLOCKS energy.blocks.ends_kwh_by_season: no blocks for warm',
    ]);
    expect(bySeason({ cold: [1, 2], warm: [1] })).toEqual([
      'AMP_TARIFF_BLOCKS energy.blocks.ends_kwh_by_season.warm: 1 end',
    ]);
  });

  test('without prices for them, and prices without blocks, are refused', () => {
    expect(energyProblems({ kind: 'flat', price_per_kwh: 0.1, blocks })).toEqual([
      'AMP_TARIFF_BLOCKS energy.blocks: blocks, but one price in all of them',
    ]);
    expect(energyProblems({ kind: 'flat', prices_per_kwh: [0.1, 0.2] })).toEqual([
      'AMP_TARIFF_BLOCKS energy.prices_per_kwh: a list of prices, but no blocks',
    ]);
  });

  test('are counted against each rate by itself; one price holds in all of them', () => {
    expect(
      energyProblems({
        kind: 'time-of-use',
        blocks,
        rates: { day: { prices_per_kwh: [0.1, 0.2] }, night: { price_per_kwh: 0.05 } },
        periods: [
          { rate: 'day', from: '07:00', to: '22:00' },
          { rate: 'night', from: '22:00', to: '07:00' },
        ],
      }),
    ).toEqual(['AMP_TARIFF_BLOCKS energy.rates.day.prices_per_kwh: 2 prices for 3 blocks']);
  });
});

describe('prices', () => {
  test('are one or several, not both and not none', () => {
    expect(energyProblems({ kind: 'flat' })).toEqual([
      'AMP_TARIFF_ONE_OF energy: neither price_per_kwh nor prices_per_kwh',
    ]);
    const both = { price_per_kwh: 0.1, prices_per_kwh: [0.1, 0.2], blocks: { ends_kwh: [100] } };
    expect(energyProblems({ kind: 'flat', ...both })).toContain(
      'AMP_TARIFF_ONE_OF energy: price_per_kwh and prices_per_kwh',
    );
  });

  test('by the slot have a cap above their floor, and six decimals', () => {
    const slots = { kind: 'slot-prices' as const, series: 'day-ahead' };
    expect(energyProblems({ ...slots, floor_per_kwh: 0.1, cap_per_kwh: 0.1 })).toEqual([]);
    expect(energyProblems({ ...slots, floor_per_kwh: 0.1, cap_per_kwh: 0.05 })).toEqual([
      'AMP_TARIFF_LIMITS energy.cap_per_kwh: a cap below the floor',
    ]);
    expect(energyProblems({ ...slots, factor: 1.0000001 })).toEqual([
      'AMP_TARIFF_PRICE energy.factor',
    ]);
  });
});

describe('charges', () => {
  const withCharges = (...charges: NonNullable<TariffInput['charges']>) =>
    energyProblems({ kind: 'flat', price_per_kwh: 0.1 }, { charges });
  const meter = { name: 'Meter', per_month: 8 };

  test.each([
    [
      { name: 'Duty' },
      'AMP_TARIFF_ONE_OF charges.1: neither per_kwh nor per_month nor per_day nor percent',
    ],
    [{ name: 'Duty', per_day: 1, percent: 2 }, 'AMP_TARIFF_ONE_OF charges.1: per_day and percent'],
    [{ name: 'Duty', per_kwh: 0.1234567 }, 'AMP_TARIFF_PRICE charges.1.per_kwh'],
    [{ name: 'Meter', per_day: 1 }, 'AMP_TARIFF_CHARGE charges.1.name: the name of a charge above'],
    [
      { name: 'energy', per_day: 1 },
      'AMP_TARIFF_CHARGE charges.1.name: the word for the energy itself',
    ],
    [
      { name: 'Duty', percent: 1, of: ['Duty'] },
      'AMP_TARIFF_BASE charges.1.of.0: a percent of itself',
    ],
    [
      { name: 'Duty', percent: 1, of: ['Tax'] },
      'AMP_TARIFF_BASE charges.1.of.0: a charge further down',
    ],
    [{ name: 'Duty', percent: 1, of: ['energy', 'Metre'] }, 'AMP_TARIFF_BASE charges.1.of.1'],
    [
      { name: 'Duty', percent: 1, of: ['Meter', 'Meter'] },
      'AMP_TARIFF_BASE charges.1.of.1: a line that is named already',
    ],
    [
      { name: 'Duty', per_day: 1, of: ['Meter'] },
      'AMP_TARIFF_BASE charges.1.of: of, but no percent',
    ],
  ])('%j: %s', (charge, problem) => {
    expect(withCharges(meter, charge, { name: 'Tax', percent: 5 })).toEqual([problem]);
  });

  test('in the order of the bill are right', () => {
    expect(
      withCharges(
        meter,
        { name: 'Duty', percent: 1, of: ['energy', 'Meter'] },
        { name: 'Tax', percent: 5, of: 'all-above' },
      ),
    ).toEqual([]);
  });
});
