import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { EXPORT_KINDS, tableView } from '../../src/exports/index.ts';
import { columnsPage } from './columns-page.ts';

const page = readFileSync(new URL('../../docs/exports.md', import.meta.url), 'utf8');

describe('the page of exports', () => {
  test('lists every kind with the columns that it has, and no other', () => {
    expect(page.slice(page.indexOf('### '))).toBe(columnsPage());
  });

  test('has a unit and a meaning for each', () => {
    const columns = EXPORT_KINDS.flatMap((kind) => tableView(kind).columns);
    expect(columns.length).toBeGreaterThan(60);
    expect(columns.filter(({ unit, meaning }) => unit === '' || meaning === '')).toEqual([]);
  });
});

describe.each(EXPORT_KINDS)('the columns of %s', (kind) => {
  const { columns } = tableView(kind);
  const keys = columns.map(({ key }) => key);

  test('are named once, as spreadsheets and programs both take it', () => {
    expect(new Set(keys).size).toBe(keys.length);
    expect(keys.filter((key) => !/^[a-z]+(_[a-z]+)*$/.test(key))).toEqual([]);
  });

  test('carry their units, and amounts have their currency beside them', () => {
    const wrong = columns.filter(
      ({ key, unit }) =>
        (unit === 'Wh') !== key.endsWith('_wh') ||
        (unit === 's') !== key.endsWith('_s') ||
        (unit === 'currency per kWh') !== key.endsWith('_per_kwh'),
    );
    expect(wrong).toEqual([]);
    const amounts = columns.some(({ unit }) => unit.startsWith('currency'));
    expect(keys.includes('currency')).toBe(amounts);
  });
});
