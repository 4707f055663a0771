import type { Column, ExportSite } from './column.ts';
import { decimalText } from './decimal.ts';

/** Writes rows as flat objects: numbers as numbers, unknown null. */
export function jsonObject<Row>(
  columns: readonly Column<Row>[],
  site: ExportSite,
): (row: Row) => string {
  const keys = columns.map(({ key }) => `${JSON.stringify(key)}:`);
  const value = (column: Column<Row>, row: Row): string => {
    const found = column.of(row, site);
    if (found === undefined) return 'null';
    if (typeof found === 'string') return JSON.stringify(found);
    return column.kind === 'whole' ? numeral(found, column.decimals) : JSON.stringify(found);
  };
  return (row) =>
    `{${columns.map((column, index) => `${keys[index]}${value(column, row)}`).join(',')}}`;
}

/** Digits, not a floating-point number: nothing is lost before a reader chooses its own. */
function numeral(whole: number, decimals: number): string {
  const digits = decimalText(whole, decimals);
  return decimals === 0 ? digits : digits.replace(/\.?0+$/, '');
}
