import { parse } from 'csv-parse/sync';
import {
  type ExportKind,
  type ExportOptions,
  type ExportSources,
  exportRows,
} from '../../src/exports/index.ts';

/** A row as a reader of the file has it: digits as text, so that nothing is lost. */
export type ReadRow = Readonly<Record<string, string>>;

/** How a file can be written, each read back by a reader that is not ours. */
export const FORMS = {
  'CSV with commas': { format: 'csv' },
  'CSV with semicolons and decimal commas': { format: 'csv', decimalComma: true },
  'CSV without a mark': { format: 'csv', byteOrderMark: false },
  JSON: { format: 'json' },
  'one object a line': { format: 'ndjson' },
} as const satisfies Record<string, Omit<ExportOptions, 'site'>>;

export type Form = (typeof FORMS)[keyof typeof FORMS];

export const written = <Kind extends ExportKind>(
  kind: Kind,
  source: ExportSources[Kind],
  options: ExportOptions,
): string => [...exportRows(kind, source, options)].join('');

/** The rows of a file. Unknown is '' in all forms. */
export function readBack(text: string, form: Form): ReadRow[] {
  if (form.format === 'json') return (JSON.parse(text, digits) as object[]).map(plain);
  if (form.format === 'ndjson') {
    return text
      .split('\n')
      .slice(0, -1)
      .map((line) => plain(JSON.parse(line, digits) as object));
  }
  const comma = 'decimalComma' in form;
  return parse(text, {
    bom: true,
    columns: true,
    delimiter: comma ? ';' : ',',
    record_delimiter: '\r\n',
    cast: (value, { header }) =>
      comma && !header && /^-?\d+,\d+$/.test(value) ? value.replace(',', '.') : value,
  }) as ReadRow[];
}

/** Shortest digits of a double are those that were written, for any amount below 2^53 units. */
const digits = (_key: string, value: unknown): unknown =>
  typeof value === 'number' ? String(value) : value;

const plain = (row: object): ReadRow =>
  Object.fromEntries(Object.entries(row).map(([key, value]) => [key, value ?? '']));

/** '-12.345' with three decimals as −12345n. Unknown adds nothing. */
export function wholeOf(text: string | undefined, decimals: number): bigint {
  if (text === undefined || text === '') return 0n;
  const [units = '', fraction = ''] = text.replace('-', '').split('.');
  if (fraction.length > decimals) throw new Error(`${text} has more than ${decimals} decimals`);
  const size = BigInt(units + fraction.padEnd(decimals, '0'));
  return text.startsWith('-') ? -size : size;
}

/** Sums of a column by another: absent keys have no sum. */
export function sumsBy(
  rows: readonly ReadRow[],
  by: string,
  column: string,
  decimals: number,
): Map<string, bigint> {
  const sums = new Map<string, bigint>();
  for (const row of rows) {
    const key = row[by] ?? '';
    sums.set(key, (sums.get(key) ?? 0n) + wholeOf(row[column], decimals));
  }
  return sums;
}

/** Some columns of every row. */
export const cells = (rows: readonly ReadRow[], ...keys: readonly string[]): string[][] =>
  rows.map((row) => keys.map((key) => row[key] ?? 'no such column'));
