import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { blockPrice } from '../../src/tariff/index.ts';
import { cost, type MilliwattHours } from '../../src/units/index.ts';
import { only, tariffOf, winnipeg } from '../tariff/tariffs.ts';

const read = (file: string): string =>
  readFileSync(new URL(`../../${file}`, import.meta.url), 'utf8');
const kwh = (amount: number): MilliwattHours => (amount * 1e6) as MilliwattHours;

interface PrintedTariff {
  readonly energy: Parameters<typeof tariffOf>[0];
  readonly charges: NonNullable<Parameters<typeof tariffOf>[1]>['charges'];
}

/** The YAML between the fences that holds the blocks, as the guide prints it. */
function printed<T>(file: string): T {
  const blocks = [...read(file).matchAll(/```yaml\n([\s\S]*?)```/g)].map((match) => match[1] ?? '');
  return parse(blocks.find((one) => one.includes('ends_kwh: [600]')) ?? '') as T;
}

/** Amounts of a table's rows by their first cell. */
function amounts(text: string): Map<string, string> {
  const rows = [...text.matchAll(/^\| \**([^|*]+?)\** \|[^\n]*\| \**([\d.]+)\** \|$/gm)];
  return new Map(rows.map((row) => [row[1] ?? '', row[2] ?? '']));
}

const guides = [
  { file: 'README.md', tariff: printed<PrintedTariff>('README.md') },
  {
    file: 'docs/bills.md',
    tariff: printed<{ tariffs: { house: PrintedTariff } }>('docs/bills.md').tariffs.house,
  },
];

describe.each(guides)('the bill by hand in $file', ({ file, tariff: { energy, charges } }) => {
  const house = only(tariffOf(energy, { charges }));
  const january = house.month(winnipeg.dayOf('2026-01-10' as never).from);
  const bill = house.bill(january, {
    byRate: new Map(house.rates.map(({ id }) => [id, { energy: kwh(1184) }])),
  });

  it('is what the program makes of it, to the coin and line by line', () => {
    const told = amounts(read(file));
    expect(bill.lines.map(({ amount }) => (amount / 1e6).toFixed(2))).toEqual([
      told.get('first block'),
      told.get('second block'),
      told.get('levy'),
      told.get('connection'),
      told.get('tax'),
    ]);
    expect((bill.total / 1e6).toFixed(2)).toBe(told.get('bill'));
  });

  it('prices the fish room as it says, at the average and on top', () => {
    const [rate] = house.rates;
    if (rate?.price.kind !== 'blocks') throw new Error('it has blocks');
    const use = { house: kwh(1184), part: kwh(410) };
    const ends = house.blockEnds(january) ?? [];
    for (const at of ['average', 'marginal'] as const) {
      const price = blockPrice(rate.price.perKwh, ends, use, at);
      expect(read(file)).toContain((price / 1e6).toFixed(6));
      expect(read(file)).toContain((cost(kwh(410), price) / 1e6).toFixed(2));
    }
  });
});
