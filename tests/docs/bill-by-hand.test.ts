import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { blockPrice } from '../../src/tariff/index.ts';
import { cost, type MilliwattHours } from '../../src/units/index.ts';
import { only, tariffOf, winnipeg } from '../tariff/tariffs.ts';

const read = (file: string): string =>
  readFileSync(new URL(`../../${file}`, import.meta.url), 'utf8');
const kwh = (amount: number): MilliwattHours => (amount * 1e6) as MilliwattHours;

/** The YAML between the fences that holds `word`, as the guide prints it. */
function yamlWith(text: string, word: string): Record<string, unknown> {
  const blocks = [...text.matchAll(/```yaml\n([\s\S]*?)```/g)].map((match) => match[1] ?? '');
  const block = blocks.find((one) => one.includes(word));
  if (block === undefined) throw new Error(`no YAML with ${word}`);
  return parse(block) as Record<string, unknown>;
}

/** Amounts of a table's rows by their first cell. */
function amounts(text: string): Map<string, string> {
  const rows = [...text.matchAll(/^\| \**([^|*]+?)\** \|[^\n]*\| \**([\d.]+)\** \|$/gm)];
  return new Map(rows.map((row) => [row[1] ?? '', row[2] ?? '']));
}

const guides = [
  { file: 'README.md', tariff: () => yamlWith(read('README.md'), 'ends_kwh: [600]') },
  {
    file: 'docs/bills.md',
    tariff: () =>
      (yamlWith(read('docs/bills.md'), 'ends_kwh: [600]')['tariffs'] as Record<string, object>)['house'],
  },
];

describe.each(guides)('the bill by hand in $file', ({ file, tariff }) => {
  const { energy, charges } = tariff() as Parameters<typeof tariffOf>[1] & { energy: never };
  const house = only(tariffOf(energy, { charges: charges ?? [] }));
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
