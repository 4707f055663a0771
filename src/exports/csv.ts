import type { Column, ExportSite } from './column.ts';
import { decimalText } from './decimal.ts';

/** How a spreadsheet of this country reads numbers. */
export interface CsvDialect {
  /** Numbers with a decimal comma, and semicolons between cells. */
  readonly decimalComma?: boolean;
}

/** Without it spreadsheets read UTF-8 as some other alphabet. */
export const BYTE_ORDER_MARK = '\uFEFF';

/** RFC 4180: each record ends so. */
const LINE_END = '\r\n';

/**
 * What a spreadsheet takes for the beginning of a formula, full-width forms included (common
 * practice). A name may come from outside, and a formula can run commands.
 */
const FORMULA = /^[=+\-@\t\r\n＝＋－＠]/;

/** Whatever any dialect sees as more than a character. */
const SPECIAL = /[",;\t\r\n]/;

const quoted = (cell: string): string =>
  SPECIAL.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell;

/** A text as a cell: never a formula, and quoted where RFC 4180 asks for it. */
export const textCell = (value: string): string =>
  quoted(FORMULA.test(value) ? `'${value}` : value);

export const headerLine = <Row>(
  columns: readonly Column<Row>[],
  { decimalComma = false }: CsvDialect,
): string => columns.map(({ key }) => textCell(key)).join(decimalComma ? ';' : ',') + LINE_END;

/** Writes rows of these columns, one line each. */
export function csvLine<Row>(
  columns: readonly Column<Row>[],
  site: ExportSite,
  { decimalComma = false }: CsvDialect,
): (row: Row) => string {
  const delimiter = decimalComma ? ';' : ',';
  const number = (plain: string): string => (decimalComma ? plain.replace('.', ',') : plain);
  const cell = (column: Column<Row>, row: Row): string => {
    const value = column.of(row, site);
    if (value === undefined) return '';
    if (typeof value === 'string') return textCell(value);
    return number(column.kind === 'whole' ? decimalText(value, column.decimals) : String(value));
  };
  return (row) => columns.map((column) => cell(column, row)).join(delimiter) + LINE_END;
}
