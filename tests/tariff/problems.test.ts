import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { TariffInput } from '../../src/tariff/config.ts';
import { compileTariffs, tariffProblems } from '../../src/tariff/index.ts';
import { Calendar, CodedError, instant, SLOT } from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import { flat, lanternHollow, period, tariffOf, timeOfUse } from './tariffs.ts';

type TimeOfUse = Extract<TariffInput['energy'], { kind: 'time-of-use' }>;

const prices = { day: 0.3, night: 0.1 };
const berlin = new Calendar('Europe/Berlin');
const ofPeriods = (...periods: Parameters<typeof timeOfUse>[1]) =>
  tariffProblems({ lantern: timeOfUse(prices, periods) });
const told = (problems: ReturnType<typeof tariffProblems>): string[] =>
  problems.map(({ code, path, found }) => `${code} ${path.slice(2).join('.')}: ${found}`);

describe('tariffs that give each slot one price', () => {
  test('have no problems', () => {
    expect(tariffProblems({ lantern: lanternHollow, later: flat(0.2, '2027-01-01') })).toEqual([]);
  });

  test('a period may run past midnight, or end at it', () => {
    expect(ofPeriods(period('day', '06:00', '22:00'), period('night', '22:00', '06:00'))).toEqual(
      [],
    );
    expect(ofPeriods(period('day', '00:00', '12:00'), period('night', '12:00', '00:00'))).toEqual(
      [],
    );
  });
});

describe('holes and overlaps are told with their days and hours', () => {
  test('a hole on every day', () => {
    expect(
      told(ofPeriods(period('day', '06:00', '22:00'), period('night', '23:00', '06:00'))),
    ).toEqual(['AMP_TARIFF_HOLE periods: no period for every day 22:00 to 23:00']);
  });

  test('a weekend that nobody thought of', () => {
    expect(told(ofPeriods(period('day', '00:00', '24:00', 'weekdays')))).toEqual([
      'AMP_TARIFF_HOLE periods: no period for weekend 00:00 to 24:00',
    ]);
  });

  test('an overlap, at the second of the periods concerned', () => {
    expect(
      told(
        ofPeriods(
          period('day', '06:00', '22:15', 'weekdays'),
          period('night', '22:00', '06:00', 'weekdays'),
          period('night', '00:00', '24:00', 'weekend'),
        ),
      ),
    ).toEqual([
      'AMP_TARIFF_OVERLAP periods.1: 2 periods for weekdays 22:00 to 22:15: entries 1 and 2',
    ]);
  });
});
/** `code path: found` of each, from below the energy on. */
const energyProblems = (energy: TariffInput['energy'], rest: Partial<TariffInput> = {}): string[] =>
  tariffProblems({ lantern: tariffOf(energy, rest) }).map(
    ({ code, path, found }) =>
      `${code} ${path.slice(1).join('.')}${found === undefined ? '' : `: ${found}`}`,
  );

const twoSeasons = {
  cold: { from: '10-16', to: '04-15' },
  warm: { from: '04-16', to: '10-15' },
};

describe('seasons', () => {
  const hours = (seasons: Record<string, { from: string; to: string }>) =>
    energyProblems({ kind: 'flat', price_per_kwh: 0.1, seasons });

  test('over the new year, or a single one from any day on, are right', () => {
    expect(hours(twoSeasons)).toEqual([]);
    expect(hours({ always: { from: '05-01', to: '04-30' } })).toEqual([]);
    expect(
      hours({ leap: { from: '02-29', to: '08-31' }, rest: { from: '09-01', to: '02-28' } }),
    ).toEqual([]);
  });

  test.each([
    ['02-28', 'AMP_TARIFF_SEASON_HOLE energy.seasons: no season on 02-29'],
    ['02-20', 'AMP_TARIFF_SEASON_HOLE energy.seasons: no season from 02-21 to 02-29'],
    ['03-01', 'AMP_TARIFF_SEASON_OVERLAP energy.seasons.summer: winter and summer on 03-01'],
    ['02-30', 'AMP_TARIFF_DATE energy.seasons.winter.to'],
    ['13-01', 'AMP_TARIFF_DATE energy.seasons.winter.to'],
  ])('a winter to %s, before a summer from 03-01: %s', (to, problem) => {
    expect(
      hours({ winter: { from: '09-01', to }, summer: { from: '03-01', to: '08-31' } }),
    ).toEqual([problem]);
  });

  const withPeriods = (...periods: TimeOfUse['periods']) =>
    energyProblems({
      kind: 'time-of-use',
      seasons: twoSeasons,
      rates: { day: { price_per_kwh: 0.1 } },
      periods,
    });

  test('hours that one of them lacks are told with its name', () => {
    expect(
      withPeriods(
        { rate: 'day', season: 'cold', from: '00:00', to: '24:00' },
        { rate: 'day', season: 'warm', from: '00:00', to: '23:00' },
      ),
    ).toEqual(['AMP_TARIFF_HOLE energy.periods: no period for every day 23:00 to 24:00 in warm']);
  });

  test('hours that all of them lack are told once', () => {
    expect(withPeriods({ rate: 'day', from: '01:00', to: '24:00' })).toEqual([
      'AMP_TARIFF_HOLE energy.periods: no period for every day 00:00 to 01:00',
    ]);
  });

  test('a period in one that there is not is told, and its hours are not counted', () => {
    expect(withPeriods({ rate: 'day', season: 'wet', from: '00:00', to: '24:00' })).toEqual([
      'AMP_TARIFF_SEASON energy.periods.0.season',
    ]);
  });
});

describe('days', () => {
  const withDays = (days: TimeOfUse['periods'][number]['days'], holidays?: TimeOfUse['holidays']) =>
    energyProblems({
      kind: 'time-of-use',
      rates: { day: { price_per_kwh: 0.1 }, rest: { price_per_kwh: 0.2 } },
      periods: [
        { rate: 'day', days, from: '00:00', to: '24:00' },
        { rate: 'rest', days: ['tuesday', 'wednesday', 'thursday'], from: '00:00', to: '24:00' },
      ],
      ...(holidays === undefined ? {} : { holidays }),
    });
  const mostDays = ['monday', 'friday', 'saturday', 'sunday'] as const;
  const dates = ['2026-12-25', '2027-01-01'];

  test('may be named one by one', () => {
    expect(withDays([...mostDays])).toEqual([]);
    expect(withDays([...mostDays, 'holiday'], { dates, like: 'own' })).toEqual([]);
  });

  test('that nobody named are told by name', () => {
    expect(withDays(['monday', 'saturday'])).toEqual([
      'AMP_TARIFF_HOLE energy.periods: no period for Friday, Sunday 00:00 to 24:00',
    ]);
    expect(withDays([...mostDays], { dates, like: 'own' })).toEqual([
      'AMP_TARIFF_HOLE energy.periods: no period for holidays 00:00 to 24:00',
    ]);
  });

  test('with holiday, where holidays are like another day, are refused', () => {
    expect(withDays([...mostDays, 'holiday'], { dates })).toEqual([
      'AMP_TARIFF_HOLIDAY energy.periods.0.days.4',
    ]);
    expect(withDays([...mostDays, 'holiday'])).toEqual([
      'AMP_TARIFF_HOLIDAY energy.periods.0.days.4',
    ]);
  });

  test('twice in a list, and holidays twice or on no day, are refused', () => {
    expect(withDays([...mostDays, 'monday'])).toEqual([
      'AMP_TARIFF_HOLIDAY energy.periods.0.days.4',
    ]);
    expect(withDays([...mostDays], { dates: [...dates, '2026-12-25', '2026-11-31'] })).toEqual([
      'AMP_TARIFF_HOLIDAY energy.holidays.dates.2: a date that stands in the list already, as entry 1',
      'AMP_TARIFF_DATE energy.holidays.dates.3',
    ]);
  });
});

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

describe('other problems', () => {
  test.each([
    [{ a: flat(0.1234567) }, 'AMP_TARIFF_PRICE', ['a', 'energy', 'price_per_kwh']],
    [{ a: flat(0.1, '2026-02-30') }, 'AMP_TARIFF_DATE', ['a', 'valid_from']],
    [{ a: flat(0.1), b: flat(0.2) }, 'AMP_TARIFF_SAME_DATE', ['b', 'valid_from']],
    [
      { a: timeOfUse(prices, [period('dya', '00:00', '24:00')]) },
      'AMP_TARIFF_RATE',
      ['a', 'energy', 'periods', 0, 'rate'],
    ],
    [
      { a: timeOfUse(prices, [period('day', '06:00', '06:00')]) },
      'AMP_TARIFF_EMPTY',
      ['a', 'energy', 'periods', 0, 'to'],
    ],
    [
      {
        a: timeOfUse(prices, [period('day', '06:10', '06:00'), period('night', '06:00', '06:15')]),
      },
      'AMP_TARIFF_QUARTER',
      ['a', 'energy', 'periods', 0, 'from'],
    ],
  ])('%#: %j is refused as %s', (configs, code, path) => {
    const problems = tariffProblems(configs);
    expect(problems.map((problem) => ({ code: problem.code, path: problem.path }))).toEqual([
      { code, path },
    ]);
    expect(() => compileTariffs(configs, berlin, 'EUR')).toThrow(
      expect.objectContaining({ code, remedy: problems[0]?.remedy }),
    );
  });

  test('all of them are told at once', () => {
    const broken = { a: flat(0.1234567), b: timeOfUse(prices, [period('x', '06:00', '07:00')]) };
    expect(() => compileTariffs(broken, berlin, 'EUR')).toThrow(
      /tariffs\.a\.energy\.price_per_kwh.*tariffs\.b\.valid_from.*a rate of this tariff.*no period for/,
    );
  });
});

test('either a slot has exactly one rate in every week, or compiling says why not', () => {
  const calendar = new Calendar('America/Winnipeg');
  const wall = fc.integer({ min: 0, max: 8 }).map((n) => `${String(n * 3).padStart(2, '0')}:00`);
  const days = fc.constantFrom('every-day' as const, 'weekdays' as const, 'weekend' as const);
  const rate = fc.constantFrom('day', 'night');
  const any = fc
    .tuple(rate, wall, wall, days)
    .map(([id, from, to, on]) => period(id, from, to, on));
  const halves = fc
    .tuple(wall, wall)
    .map(([from, to]) => [period('day', from, to), period('night', to, from)]);
  const periods = fc.oneof(fc.array(any, { minLength: 1, maxLength: 3 }), halves);
  let priced = 0;
  fc.assert(
    fc.property(periods, (list) => {
      const configs = { a: timeOfUse(prices, list) };
      try {
        const book = compileTariffs(configs, calendar, 'CAD');
        for (let slot = Date.UTC(2026, 4, 3); slot < Date.UTC(2026, 4, 11); slot += 4 * SLOT) {
          expect(book.rateAt(instant(slot))).toBeDefined();
        }
        priced += 1;
      } catch (error) {
        if (!(error instanceof CodedError)) throw error;
        expect(error.code).toMatch(/^AMP_TARIFF_(HOLE|OVERLAP|EMPTY)$/);
      }
    }),
    runs(),
  );
  expect(priced).toBeGreaterThan(100);
});
