import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { BillUse, Tariff } from '../../src/tariff/index.ts';
import {
  currencyDecimals,
  type Instant,
  instant,
  milliwattHours,
  type Span,
} from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import { flat, only, tallow, tariffOf } from './tariffs.ts';

const at = (iso: string): Instant => instant(Date.parse(iso));
const MARCH = at('2026-03-10T18:00Z');
const kWh = (energy: number) => milliwattHours(energy * 1e6);

const used = (energy: number): BillUse => ({
  byRate: new Map([['flat', { energy: kWh(energy) }]]),
});
const amounts = (tariff: Tariff, use = used(123)): number[] =>
  tariff.bill(tariff.month(MARCH), use).lines.map(({ amount }) => amount / 1e6);

describe('charges, in the order of the bill', () => {
  test('are told by what they are', () => {
    const tariff = only(
      tallow([
        { name: 'Fuel', per_kwh: 0.0213 },
        { name: 'Meter', per_month: 8.08 },
        { name: 'Reading', per_day: 0.031 },
        { name: 'Tax', percent: 7 },
      ]),
    );
    expect(tariff.bill(tariff.month(MARCH), used(123))).toEqual({
      energy: 123_000_000,
      lines: [
        { name: 'flat', kind: 'energy', energy: 123_000_000, perKwh: 100_000, amount: 12_300_000 },
        // 123 × 0.0213 = 2.6199
        { name: 'Fuel', kind: 'levy', energy: 123_000_000, perKwh: 21_300, amount: 2_620_000 },
        {
          name: 'Meter',
          kind: 'standing',
          energy: undefined,
          perKwh: undefined,
          amount: 8_080_000,
        },
        // 31 × 0.031 = 0.961
        {
          name: 'Reading',
          kind: 'standing',
          energy: undefined,
          perKwh: undefined,
          amount: 960_000,
        },
        // 23.96 × 0.07 = 1.6772
        { name: 'Tax', kind: 'tax', energy: undefined, perKwh: undefined, amount: 1_680_000 },
      ],
      total: 25_640_000,
    });
  });

  test('a percent is of the lines above it as they are printed, not of those below', () => {
    // Energy 12.30; half a percent of it 0.0615, printed 0.06; a tenth of 12.36 is 1.236.
    const tariff = only(
      tallow([
        { name: 'Duty', percent: 0.5 },
        { name: 'Tax', percent: 10 },
        { name: 'Meter', per_month: 5 },
      ]),
    );
    expect(amounts(tariff)).toEqual([12.3, 0.06, 1.24, 5]);
  });

  test('a percent may be of some lines only', () => {
    const tariff = only(
      tallow([
        { name: 'Meter', per_month: 10 },
        { name: 'Duty', percent: 20, of: ['energy'] },
        { name: 'Tax', percent: 10, of: ['Meter', 'Duty'] },
      ]),
    );
    expect(amounts(tariff)).toEqual([12.3, 10, 2.46, 1.25]);
  });

  test('may be credits', () => {
    const tariff = only(
      tallow([
        { name: 'Rebate', percent: -10, of: ['energy'] },
        { name: 'Grant', per_month: -20 },
      ]),
    );
    expect(amounts(tariff)).toEqual([12.3, -1.23, -20]);
    expect(tariff.bill(tariff.month(MARCH), used(123)).total).toBe(-8_930_000);
  });

  test.each([
    ['JPY', [12, 1]],
    ['CAD', [12.3, 0.86]],
    ['KWD', [12.3, 0.861]],
  ])('are rounded to the coin of %s', (currency, expected) => {
    const tariff = only(tallow([{ name: 'Tax', percent: 7 }]), currency);
    expect(amounts(tariff)).toEqual(expected);
  });
});

describe('what hangs on energy is in the price of a rate', () => {
  test('with the taxes that rest on it, rounded once', () => {
    const tariff = only(
      tallow([
        { name: 'Fuel', per_kwh: 0.0213 },
        { name: 'Meter', per_month: 8 },
        { name: 'Duty', percent: 1.25, of: ['Fuel'] },
        { name: 'Tax', percent: 7 },
      ]),
    );
    // (0.1 + 0.0213 × 1.0125) × 1.07 = 0.130075, 8875 beyond the sixth decimal: by hand.
    expect(tariff.rates[0]?.price).toEqual({ kind: 'fixed', perKwh: 130_076 });
  });

  test('exactly, so that a half goes up though no binary fraction holds it', () => {
    const halves = tariffOf(
      { kind: 'flat', price_per_kwh: 0.1001 },
      { charges: [{ name: 'Duty', percent: 0.5 }] },
    );
    // 100100 × 1.005 = 100600.5
    expect(only(halves).rates[0]?.price).toEqual({ kind: 'fixed', perKwh: 100_601 });
    const credit = { ...halves, energy: { kind: 'flat' as const, price_per_kwh: -0.1001 } };
    expect(only(credit).rates[0]?.price).toEqual({ kind: 'fixed', perKwh: -100_601 });
  });

  test('however many percents rest on each other', () => {
    const taxes = Array.from({ length: 50 }, (_, n) => ({ name: `Tax ${n}`, percent: 1 }));
    // 0.1 × 1.01^50 = 0.1644631822…, by a calculator.
    expect(only(tallow(taxes)).rates[0]?.price).toEqual({ kind: 'fixed', perKwh: 164_463 });
  });

  test('and what does not is standing, with the taxes on it', () => {
    const tariff = only(
      tallow([
        { name: 'Fuel', per_kwh: 0.0213 },
        { name: 'Meter', per_month: 8 },
        { name: 'Reading', per_day: 0.031 },
        { name: 'Tax', percent: 7 },
      ]),
    );
    // (8 + 31 × 0.031) × 1.07 = 9.58827
    expect(tariff.standing(tariff.month(MARCH))).toBe(9_588_270);
    expect(tariff.standingShared).toBe(false);
    expect(only(tallow([], { standing_charges: 'tanks' })).standingShared).toBe(true);
  });
});

test('energy of a rate that the tariff does not have is refused', () => {
  const tariff = only(flat(0.1));
  const use = { byRate: new Map([['night', { energy: kWh(1) }]]) };
  expect(() => tariff.bill(tariff.month(MARCH), use)).toThrow(
    expect.objectContaining({ code: 'AMP_TARIFF_BILL' }),
  );
});

describe('any bill', () => {
  const money = fc.integer({ min: -2_000_000, max: 5_000_000 }).map((micro) => micro / 1e6);
  const charge = fc.oneof(
    fc.record({ per_kwh: money }),
    fc.record({ per_month: money }),
    fc.record({ per_day: money }),
    fc.record({ percent: fc.integer({ min: -5_000, max: 30_000 }).map((n) => n / 1000) }),
  );
  const charges = fc
    .array(charge, { maxLength: 5 })
    .map((list) => list.map((each, index) => ({ name: `charge ${index}`, ...each })));
  const input = fc.record({
    day: fc.array(money, { minLength: 3, maxLength: 3 }),
    night: money,
    charges,
    ends: fc
      .uniqueArray(fc.integer({ min: 1, max: 900_000 }), { minLength: 2, maxLength: 2 })
      .map((list) => list.sort((a, b) => a - b).map((end) => end / 1000)),
    currency: fc.constantFrom('JPY', 'CAD', 'KWD', 'CLF'),
    energies: fc.tuple(
      fc.integer({ min: 0, max: 1_500_000_000 }),
      fc.integer({ min: 0, max: 1_500_000_000 }),
    ),
  });

  test('sums its lines, counts all energy, and costs what rates and standing say, to rounding', () => {
    fc.assert(
      fc.property(input, ({ day, night, charges: list, ends, currency, energies }) => {
        const tariff = only(
          tariffOf(
            {
              kind: 'time-of-use',
              rates: { day: { prices_per_kwh: day }, night: { price_per_kwh: night } },
              periods: [
                { rate: 'day', from: '07:00', to: '22:00' },
                { rate: 'night', from: '22:00', to: '07:00' },
              ],
              blocks: { ends_kwh: ends },
            },
            { charges: list },
          ),
          currency,
        );
        const [byDay, byNight] = energies.map(milliwattHours) as [never, never];
        const month = tariff.month(MARCH);
        const use: BillUse = {
          byRate: new Map([
            ['day', { energy: byDay }],
            ['night', { energy: byNight }],
          ]),
        };
        const { lines, energy, total } = tariff.bill(month, use);

        expect(lines.reduce((sum, { amount }) => sum + amount, 0)).toBe(total);
        expect(energy).toBe(byDay + byNight);
        const billed = lines.filter(({ kind }) => kind === 'energy');
        expect(billed.reduce((sum, line) => sum + (line.energy ?? 0), 0)).toBe(energy);
        const coin = 10 ** (6 - currencyDecimals(currency));
        expect(lines.every(({ amount }) => amount % coin === 0)).toBe(true);

        const percents = list.filter((each) => 'percent' in each).length;
        const kilowattHours = energy / 1e6;
        // Half a coin a line, which percents of up to 30 carry on; half a micro-unit a kWh.
        const allowed = lines.length * (coin / 2) * 1.3 ** percents + kilowattHours / 2 + 2;
        expect(Math.abs(total - reckoned(tariff, month, use))).toBeLessThanOrEqual(allowed);
      }),
      runs(300),
    );
  });

  /** Energy of each rate at its price with all charges, and what stands: another way to the total. */
  function reckoned(tariff: Tariff, month: Span, use: BillUse): number {
    const house = [...use.byRate.values()].reduce((sum, { energy }) => sum + energy, 0);
    const ends = tariff.blockEnds(month) ?? [];
    let sum: number = tariff.standing(month);
    for (const { id, price } of tariff.rates) {
      const energy = use.byRate.get(id)?.energy ?? 0;
      if (price.kind === 'fixed') sum += (energy * price.perKwh) / 1e6;
      if (price.kind !== 'blocks' || house === 0) continue;
      price.perKwh.forEach((perKwh, block) => {
        const start = ends[block - 1] ?? 0;
        const end = Math.min(house, ends[block] ?? Number.POSITIVE_INFINITY);
        sum += (((Math.max(0, end - start) * energy) / house) * perKwh) / 1e6;
      });
    }
    return sum;
  }
});
