import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readHouseCsv, readPriceCsv } from '../../src/imports/index.ts';
import { BERLIN } from './sample.ts';

const PAGE = readFileSync(new URL('../../docs/imports.md', import.meta.url), 'utf8');
const [withEnds, withMinutes, prices, ...others] = [...PAGE.matchAll(/```csv\n([\s\S]*?)```/g)].map(
  ([, table]) => table ?? '',
);

describe('the tables that the documentation shows', () => {
  it('are three', () => {
    expect([withEnds, withMinutes, prices].every((table) => (table ?? '') !== '')).toBe(true);
    expect(others).toEqual([]);
  });

  it('are read as they stand there', async () => {
    const house = await readHouseCsv([withEnds ?? ''], { calendar: BERLIN });
    expect(house).toMatchObject({ energy: 420_000, cost: 120_000, warnings: [] });
    const hours = await readHouseCsv([withMinutes ?? ''], { calendar: BERLIN });
    expect(hours).toMatchObject({ energy: 1_760_000, warnings: [] });
    const market = await readPriceCsv([prices ?? ''], { calendar: BERLIN, series: 'day-ahead' });
    expect(market.prices.map(({ price }) => price)).toEqual([81_200, -4_050]);
    expect(market.warnings).toEqual([]);
  });
});
