import { printable } from '../../units/index.ts';
import { type Problems, quoted } from '../refused.ts';
import { createNumberReader } from './numbers.ts';
import type { Delimiter } from './table.ts';
import { readTime, type TimeText } from './time-text.ts';

/**
 * Reads the cells of one row after another. What cannot be read is a problem with its line and
 * column, and undefined.
 */
export interface RowReader {
  /** False when the row has not the header's cells. */
  begin(cells: readonly string[], line: number): boolean;
  text(column: number | undefined): string;
  time(column: number | undefined): TimeText | undefined;
  /** The number × 10^power, rounded to a whole one. */
  number(column: number | undefined, power: number): number | undefined;
  /** As `number`, where the cell may be empty. */
  numberOrNone(column: number | undefined, power: number): number | undefined;
  whole(column: number | undefined, least: number, most: number): number | undefined;
  complain(
    code: `AMP_CSV_${string}`,
    column: number | undefined,
    message: string,
    remedy: string,
  ): void;
  /** How many numbers had more digits than are kept. */
  rounded(): number;
}

export function createRowReader(
  header: readonly string[],
  delimiter: Delimiter,
  problems: Problems,
): RowReader {
  const read = createNumberReader(delimiter);
  let cells: readonly string[] = [];
  let line = 0;
  let rounded = 0;

  const complain: RowReader['complain'] = (code, column, message, remedy) =>
    problems.add({
      code,
      line,
      ...(column === undefined ? {} : { place: `column ${printable(header[column] ?? '')}` }),
      message,
      remedy,
    });
  const text = (column: number | undefined): string =>
    column === undefined ? '' : (cells[column] ?? '');

  function number(column: number | undefined, power: number): number | undefined {
    const found = read(text(column), power, line);
    if (typeof found === 'string') {
      const comma = delimiter === ',' ? '' : ', or as 12,5 throughout';
      complain('AMP_CSV_NUMBER', column, found, `write it as 12.5${comma}, without a unit`);
      return undefined;
    }
    if (!found.exact) rounded += 1;
    return found.value;
  }

  return {
    begin(row, at) {
      cells = row;
      line = at;
      const isWhole =
        row.length >= header.length && row.slice(header.length).every((cell) => cell === '');
      if (!isWhole) {
        complain(
          'AMP_CSV_CELLS',
          undefined,
          `${row.length} cells below a header of ${header.length}`,
          'give each row as many cells as the header; quote cells that hold the delimiter',
        );
      }
      return isWhole;
    },
    text,
    time(column) {
      const time = readTime(text(column));
      if (time === undefined) {
        complain(
          'AMP_CSV_TIME',
          column,
          text(column) === '' ? 'empty' : `no time: ${quoted(text(column))}`,
          "write it as '2026-03-01T06:15+01:00', or local as '2026-03-01 06:15'",
        );
      }
      return time;
    },
    number,
    numberOrNone: (column, power) => (text(column) === '' ? undefined : number(column, power)),
    whole(column, least, most) {
      const cell = text(column);
      const count = /^\d{1,9}$/.test(cell) ? Number(cell) : Number.NaN;
      if (count >= least && count <= most) return count;
      complain(
        'AMP_CSV_NUMBER',
        column,
        `no whole number from ${least} to ${most}: ${quoted(cell)}`,
        'mend it',
      );
      return undefined;
    },
    complain,
    rounded: () => rounded,
  };
}
