import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { type BillUse, compileTariffs, type Tariff } from '../../src/tariff/index.ts';
import { Calendar, type Instant, instant, milliwattHours } from '../../src/units/index.ts';
import { tariffOf } from './tariffs.ts';

interface Example {
  readonly id: string;
  readonly kWh: number;
  readonly blocks: readonly (readonly [number | null, number])[];
  readonly per_kWh_adder: number;
  readonly fixed: number;
  readonly tax_percent: number;
  readonly total: number;
}

// Source: tests/reference/tariff/SOURCE.md; each printed line is held against its own.
const examples: Example[] = JSON.parse(
  readFileSync(
    new URL('../reference/tariff/published_utility_worked_examples.json', import.meta.url),
    'utf8',
  ),
);
const example = (id: string) => examples.find((each) => each.id === id) as Example;
const at = (iso: string): Instant => instant(Date.parse(iso));
const kWh = (energy: number) => milliwattHours(energy * 1e6);
const used = (rate: string, energy: number): BillUse => ({
  byRate: new Map([[rate, { energy: kWh(energy) }]]),
});

/** The lines of the bill of the month that holds `iso`, as `[name, amount]`. */
function linesOf(tariff: Tariff, iso: string, use: BillUse): (readonly [string, number])[] {
  const { lines, total } = tariff.bill(tariff.month(at(iso)), use);
  return [...lines.map(({ name, amount }) => [name, amount / 1e6] as const), ['', total / 1e6]];
}

describe('the City of Seymour, blocks by season', () => {
  // The example's winter has three blocks and its summer four: winter's last goes on in a fourth.
  // In which months the seasons lie is not part of the examples; these are assumed.
  const [winter, summer] = [example('seymour-winter'), example('seymour-summer')];
  const prices = ({ blocks }: Example): number[] => blocks.map(([, price]) => price);
  const { tariffs } = compileTariffs(
    {
      seymour: tariffOf(
        {
          kind: 'time-of-use',
          seasons: {
            winter: { from: '10-01', to: '05-31' },
            summer: { from: '06-01', to: '09-30' },
          },
          rates: {
            winter: { prices_per_kwh: [...prices(winter), ...prices(winter).slice(-1)] },
            summer: { prices_per_kwh: prices(summer) },
          },
          periods: [
            { rate: 'winter', season: 'winter', from: '00:00', to: '24:00' },
            { rate: 'summer', season: 'summer', from: '00:00', to: '24:00' },
          ],
          blocks: { ends_kwh: [250, 700, 1250] },
        },
        {
          charges: [
            { name: 'power cost', per_kwh: winter.per_kWh_adder },
            { name: 'fixed', per_month: winter.fixed },
            { name: 'tax', percent: winter.tax_percent },
          ],
        },
      ),
    },
    new Calendar('America/Chicago'),
    'USD',
  );
  const [tariff] = tariffs as [Tariff];

  test('in winter: 1200 kWh come to 171.55', () => {
    expect(linesOf(tariff, '2025-01-15T12:00Z', used('winter', winter.kWh))).toEqual([
      ['winter, block 1', 16.0],
      ['winter, block 2', 22.05],
      ['winter, block 3', 22.3],
      ['power cost', 102.0],
      ['fixed', 7.5],
      ['tax', 1.7],
      ['', winter.total],
    ]);
    expect(winter.total).toBe(171.55);
  });

  test('in summer: 2000 kWh come to 277.88', () => {
    expect(linesOf(tariff, '2025-07-15T12:00Z', used('summer', summer.kWh))).toEqual([
      ['summer, block 1', 16.0],
      ['summer, block 2', 22.05],
      ['summer, block 3', 26.13],
      ['summer, block 4', 33.45],
      ['power cost', 170.0],
      ['fixed', 7.5],
      ['tax', 2.75],
      ['', summer.total],
    ]);
    expect(summer.total).toBe(277.88);
  });
});

test('Erongo RED: 850 kWh in rising blocks, by the ampere and with two levies, come to 1777.93', () => {
  const { kWh: energy, blocks, total } = example('erongo-red');
  const prices_per_kwh = blocks.map(([, price]) => price);
  const { tariffs } = compileTariffs(
    {
      erongo: tariffOf(
        { kind: 'flat', prices_per_kwh, blocks: { ends_kwh: [250, 750] } },
        {
          name: 'Energy',
          charges: [
            { name: '40 A', per_month: 320 },
            { name: 'ECB', per_kwh: 0.015 },
            { name: 'NEF', per_kwh: 0.0108 },
          ],
        },
      ),
    },
    new Calendar('Africa/Windhoek'),
    'NAD',
  );
  expect(linesOf(tariffs[0] as Tariff, '2025-03-10T12:00Z', used('flat', energy))).toEqual([
    ['Energy, block 1', 390.0],
    ['Energy, block 2', 840.0],
    ['Energy, block 3', 206.0],
    ['40 A', 320.0],
    ['ECB', 12.75],
    ['NEF', 9.18],
    ['', total],
  ]);
  expect(total).toBe(1777.93);
});
