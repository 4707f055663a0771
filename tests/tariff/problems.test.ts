import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { compileTariffs, tariffProblems } from '../../src/tariff/index.ts';
import { Calendar, CodedError, instant, SLOT } from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import { flat, lanternHollow, period, timeOfUse } from './tariffs.ts';

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
