import { describe, expect, it } from 'vitest';
import { parse, stringify } from 'yaml';
import type { Config } from '../../src/config/index.ts';
import { compileTariffs } from '../../src/tariff/index.ts';
import { Calendar, instant } from '../../src/units/index.ts';
import { brief, type Edit, edited, lineOf, load, SAMPLE, told } from './sample.ts';

/** A tariff with all that one can have, of a utility that does not exist. */
const RICH = edited(SAMPLE, [
  {
    swap: '    energy: { kind: flat, price_per_kwh: 0.12 }\n',
    by: `    utility: Heron Lane Light
    billing_day: 12
    standing_charges: tanks
    charges:
      - { name: Network, per_kwh: 0.05 }
      - { name: Meter, per_month: 4.5 }
      - { name: Duty, percent: 2.5, of: [energy, Network] }
      - { name: VAT, percent: 24 }
    energy:
      kind: time-of-use
      clock: standard
      seasons:
        winter: { from: '11-01', to: '03-31' }
        summer: { from: '04-01', to: '10-31' }
      holidays: { dates: ['2026-01-01', '2026-12-25'], like: own }
      blocks: { ends_kwh_by_season: { winter: [400], summer: [250] }, per: month, priced_at: marginal }
      rates:
        peak: { name: Peak, prices_per_kwh: [0.21, 0.26] }
        low: { price_per_kwh: 0.08 }
      periods:
        - { rate: peak, season: winter, days: [monday, tuesday, wednesday, thursday, friday], from: '07:00', to: '20:00' }
        - { rate: low, season: winter, days: weekdays, from: '20:00', to: '07:00' }
        - { rate: low, season: winter, days: [saturday, sunday, holiday], from: '00:00', to: '24:00' }
        - { rate: low, season: summer, from: '00:00', to: '24:00' }
`,
  },
]);

/** The sample with its first tariff's prices by the slot. */
const BY_SLOT = edited(SAMPLE, [
  {
    swap: 'energy: { kind: flat, price_per_kwh: 0.12 }',
    by: 'energy: { kind: slot-prices, series: day-ahead, factor: 1.02, adder_per_kwh: 0.004, floor_per_kwh: -0.1, cap_per_kwh: 0.9 }',
  },
]);

interface Case extends Edit {
  readonly says: string;
  /** `code path` of the only problem. */
  readonly expect: string;
  /** The text in whose line it is told. */
  readonly at: string;
  readonly words?: string;
}

const CASES: readonly Case[] = [
  {
    says: 'a hole between seasons, at their key',
    swap: "to: '03-31'",
    by: "to: '03-30'",
    expect: 'AMP_CONFIG_SEASONS tariffs.early.energy.seasons',
    at: '      seasons:\n',
    words: 'no season on 03-31',
  },
  {
    says: 'a season that overlaps another, at its own',
    swap: "from: '04-01'",
    by: "from: '03-15'",
    expect: 'AMP_CONFIG_SEASONS tariffs.early.energy.seasons.summer',
    at: 'summer: { from',
    words: 'winter and summer from 03-15 to 03-31',
  },
  {
    says: 'a season of a period that was mistyped',
    swap: 'season: summer, from',
    by: 'season: sumer, from',
    expect: 'AMP_CONFIG_REFERENCE tariffs.early.energy.periods[3].season',
    at: 'season: sumer',
    words: 'did you mean summer?',
  },
  {
    says: 'holidays that nobody gave hours',
    swap: 'days: [saturday, sunday, holiday]',
    by: 'days: [saturday, sunday]',
    expect: 'AMP_CONFIG_TARIFF_HOURS tariffs.early.energy.periods',
    at: '      periods:\n        - { rate: peak',
    words: 'no period for holidays 00:00 to 24:00 in winter',
  },
  {
    says: 'a holiday on a day that does not exist',
    swap: "'2026-12-25'",
    by: "'2026-02-29'",
    expect: 'AMP_CONFIG_DATE tariffs.early.energy.holidays.dates[1]',
    at: "'2026-02-29'",
  },
  {
    says: 'a holiday that stands there twice',
    swap: "'2026-12-25'",
    by: "'2026-01-01'",
    expect: 'AMP_CONFIG_HOLIDAYS tariffs.early.energy.holidays.dates[1]',
    at: 'holidays: {',
  },
  {
    says: 'days that are none, with what is allowed',
    swap: 'days: [saturday, sunday, holiday]',
    by: 'days: [saturday, sonday, holiday]',
    expect: 'AMP_CONFIG_FORMAT tariffs.early.energy.periods[2].days',
    at: 'sonday',
    words: 'every-day, weekdays, weekend, or a list of monday',
  },
  {
    says: 'more prices than blocks',
    swap: 'prices_per_kwh: [0.21, 0.26]',
    by: 'prices_per_kwh: [0.21, 0.26, 0.3]',
    expect: 'AMP_CONFIG_BLOCKS tariffs.early.energy.rates.peak.prices_per_kwh',
    at: 'prices_per_kwh: [',
    words: '3 prices for 2 blocks',
  },
  {
    says: 'a season without blocks',
    swap: 'winter: [400], summer: [250]',
    by: 'winter: [400]',
    expect: 'AMP_CONFIG_BLOCKS tariffs.early.energy.blocks.ends_kwh_by_season',
    at: 'ends_kwh_by_season',
  },
  {
    says: 'a rate with two kinds of price',
    swap: 'low: { price_per_kwh: 0.08 }',
    by: 'low: { price_per_kwh: 0.08, prices_per_kwh: [0.08, 0.09] }',
    expect: 'AMP_CONFIG_ONE_OF tariffs.early.energy.rates.low',
    at: 'low: { price_per_kwh',
  },
  {
    says: 'a percent of a charge that comes later',
    swap: 'of: [energy, Network]',
    by: 'of: [energy, VAT]',
    expect: 'AMP_CONFIG_CHARGES tariffs.early.charges[2].of[1]',
    at: 'of: [energy, VAT]',
    words: 'a charge further down',
  },
  {
    says: 'a percent of a name that was mistyped',
    swap: 'of: [energy, Network]',
    by: 'of: [energy, Netwrok]',
    expect: 'AMP_CONFIG_CHARGES tariffs.early.charges[2].of[1]',
    at: 'of: [energy, Netwrok]',
    words: 'did you mean Network?',
  },
  {
    says: 'a charge of two kinds',
    swap: 'per_month: 4.5 }',
    by: 'per_month: 4.5, per_day: 0.1 }',
    expect: 'AMP_CONFIG_ONE_OF tariffs.early.charges[1]',
    at: 'per_month: 4.5',
    words: 'per_month and per_day',
  },
  {
    says: 'a charge with a price that the books cannot hold',
    swap: 'per_kwh: 0.05 }',
    by: 'per_kwh: 0.0512345 }',
    expect: 'AMP_CONFIG_PRICE tariffs.early.charges[0].per_kwh',
    at: 'per_kwh: 0.0512345',
    words: '0.051235',
  },
];

describe('a tariff in the file', () => {
  it('may have seasons, holidays, blocks, charges and a clock of its own', () => {
    expect(load(RICH)).toMatchObject({ ok: true, warnings: [] });
  });

  it('may have prices by the slot', () => {
    expect(load(BY_SLOT)).toMatchObject({ ok: true, warnings: [] });
  });

  it('may not cap prices below their floor', () => {
    const text = edited(BY_SLOT, [{ swap: 'cap_per_kwh: 0.9', by: 'cap_per_kwh: -0.2' }]);
    const line = lineOf(text, 'cap_per_kwh');
    expect(brief(told(load(text)))).toEqual([
      `${line} AMP_CONFIG_RANGE tariffs.early.energy.cap_per_kwh`,
    ]);
  });

  for (const { says, swap, by, expect: wanted, at, words } of CASES) {
    it(`is refused for ${says}`, () => {
      const text = edited(RICH, [{ swap, by }]);
      const problems = told(load(text));
      expect(brief(problems)).toEqual([`${lineOf(text, at)} ${wanted}`]);
      const [first] = problems;
      expect(`${first?.found} ${first?.allowed} ${first?.remedy}`).toContain(words ?? '');
    });
  }
});

describe('a tariff with something wrong in it', () => {
  it('tells no more of what hangs on that', () => {
    const cases: [Edit, string][] = [
      [{ swap: "from: '11-01'", by: 'from: november' }, 'seasons.winter.from'],
      [{ swap: 'blocks: {', by: 'blocks: 7 # {' }, 'blocks'],
      [{ swap: 'like: own', by: 'like: owl' }, 'holidays.like'],
      [
        { swap: "days: weekdays, from: '20:00'", by: "days: workdays, from: '20:00'" },
        'periods[1].days',
      ],
      [{ swap: "from: '20:00', to", by: "from: '20.00', to" }, 'periods[1].from'],
    ];
    for (const [edit, path] of cases) {
      const problems = told(load(edited(RICH, [edit])));
      expect(problems.map((problem) => problem.path)).toEqual([`tariffs.early.energy.${path}`]);
    }
  });

  it('tells no more of a charge whose name cannot be read', () => {
    const text = edited(RICH, [{ swap: 'name: Network', by: 'name: 5' }]);
    expect(told(load(text)).map(({ path }) => path)).toEqual(['tariffs.early.charges[0].name']);
  });

  it('tells what else is wrong besides, all at once', () => {
    const text = edited(RICH, [
      { swap: "from: '04-01'", by: "from: '04-02'" },
      { swap: 'percent: 24', by: 'percent: twenty' },
      { swap: 'prices_per_kwh: [0.21, 0.26]', by: 'prices_per_kwh: [0.21, 0.1234567]' },
    ]);
    expect(brief(told(load(text))).map((line) => line.replace(/^\d+ /, ''))).toEqual([
      'AMP_CONFIG_TYPE tariffs.early.charges[3].percent',
      'AMP_CONFIG_SEASONS tariffs.early.energy.seasons',
      'AMP_CONFIG_PRICE tariffs.early.energy.rates.peak.prices_per_kwh[1]',
    ]);
  });

  it.each([
    [{ swap: 'of: [energy, Network]', by: "of: ['${env:BASE}']" }, 'Netwrok'],
    [{ swap: 'name: Network, per_kwh', by: "name: '${env:BASE}', per_kwh" }, 'Netwrok'],
  ])('does not tell what stands in the environment, nor what is like it', (edit, secret) => {
    const problems = told(load(edited(RICH, [edit]), { BASE: secret }));
    expect(problems).toHaveLength(1);
    expect(problems[0]).toMatchObject({ code: 'AMP_CONFIG_CHARGES' });
    expect(JSON.stringify(problems)).not.toMatch(/Netwrok|did you mean/);
  });

  it('is told by its line, or gives each slot a rate, whatever stands in the place of a value', () => {
    const whole = parse(RICH);
    const paths = pathsBelow(whole.tariffs.early, ['tariffs', 'early']);
    expect(paths.length).toBeGreaterThan(60);
    for (const path of paths) {
      for (const stray of [7, 'stray words', null, [null], { kind: {} }]) {
        const broken = structuredClone(whole);
        const holder = path.slice(0, -1).reduce((here, step) => here[step], broken);
        holder[path.at(-1) ?? ''] = stray;
        const result = load(stringify(broken));
        if (!result.ok) expect(result.problems[0]?.line).toBeGreaterThan(0);
        else expect(rateIn(result.config)).toBeDefined();
      }
    }
  });
});

const helsinki = new Calendar('Europe/Helsinki');
const rateIn = ({ tariffs, site }: Config) =>
  compileTariffs(tariffs, helsinki, site.currency).rateAt(instant(Date.UTC(2026, 6, 1)));

/** Every place in a value, by its path. */
function pathsBelow(value: unknown, path: (string | number)[]): (string | number)[][] {
  if (typeof value !== 'object' || value === null) return [path];
  const entries = Array.isArray(value) ? [...value.entries()] : Object.entries(value);
  return [path, ...entries.flatMap(([key, part]) => pathsBelow(part, [...path, key]))];
}
