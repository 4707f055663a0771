import { CsvError, parse } from 'csv-parse/sync';
import { type Chunks, textOf } from '../chunks.ts';
import { type FileProblem, FileRefused, type Problems } from '../refused.ts';

export type Delimiter = ',' | ';' | '\t';

/** Hears of the records of a table in order. Lines count from 1. */
export interface TableListener {
  /** What it found wrong so far: told together with what ends the reading. */
  readonly problems: Problems;
  header(names: readonly string[], line: number, delimiter: Delimiter): void;
  row(cells: readonly string[], line: number): void;
}

export interface TableLimits {
  /** Bytes. */
  readonly largestFile?: number | undefined;
  readonly mostRows?: number | undefined;
}

const DELIMITERS: readonly Delimiter[] = [',', ';', '\t'];
const LONGEST_RECORD = 10_000;

/**
 * Reads a table as spreadsheets write it: RFC 4180, or with semicolons or tabs; with CRLF or LF,
 * with or without a byte order mark; empty lines and lines that begin with # are passed over.
 * @throws FileRefused with the listener's problems, AMP_CSV_SIZE, AMP_CSV_TEXT, AMP_CSV_QUOTES, AMP_CSV_ROWS, AMP_CSV_EMPTY
 */
export async function readTable(
  chunks: Chunks,
  listener: TableListener,
  { largestFile = 50_000_000, mostRows = 1_000_000 }: TableLimits,
): Promise<void> {
  const rules = { largestFile, tooLarge: 'AMP_CSV_SIZE', notText: 'AMP_CSV_TEXT' } as const;
  const pieces: string[] = [];
  for await (const piece of textOf(chunks, rules)) pieces.push(piece);
  const text = pieces.join('');
  const delimiter = delimiterOf(headerLine(text));
  let width: number | undefined;
  let rows = 0;

  const hear = (record: string[], line: number): void => {
    const cells = record.map((cell) => cell.trim());
    if (width === undefined) {
      width = cells.length;
      listener.header(cells, line, delimiter);
      return;
    }
    rows += 1;
    if (rows > mostRows) {
      throw new FileRefused({
        code: 'AMP_CSV_ROWS',
        line,
        message: `the file has more than ${mostRows} rows`,
        remedy: 'split it, and import the parts one after the other',
      });
    }
    listener.row(cells, line);
  };

  try {
    parse(text, {
      delimiter,
      comment: '#',
      comment_no_infix: true,
      record_delimiter: ['\r\n', '\n', '\r'],
      skip_empty_lines: true,
      relax_column_count: true,
      max_record_size: LONGEST_RECORD,
      // Rows are handed on and not kept.
      on_record: (record: string[], { lines }) => {
        hear(record, lines);
        return null;
      },
    });
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    listener.problems.add(quotesProblem(error));
  }
  listener.problems.settle();
  if (rows === 0) {
    throw new FileRefused({
      code: 'AMP_CSV_EMPTY',
      message: width === undefined ? 'it is empty' : 'it has no rows below its header',
      remedy: 'export it again',
    });
  }
}

/** The first line that is neither empty nor a comment. */
function headerLine(text: string): string {
  for (const [line] of text.matchAll(/[^\r\n]+/g)) {
    if (line.trim() !== '' && !line.startsWith('#')) return line;
  }
  return '';
}

/** The delimiter that the header has most of, outside of quotes. */
function delimiterOf(header: string): Delimiter {
  const bare = header.replace(/"[^"]*"/g, '');
  const count = (delimiter: Delimiter): number => bare.split(delimiter).length;
  return DELIMITERS.reduce((most, other) => (count(other) > count(most) ? other : most));
}

function quotesProblem(error: CsvError): FileProblem {
  const { lines } = error as { lines?: unknown };
  const isLong = error.code === 'CSV_MAX_RECORD_SIZE';
  return {
    code: 'AMP_CSV_QUOTES',
    ...(typeof lines === 'number' ? { line: lines } : {}),
    message: isLong
      ? `a row longer than ${LONGEST_RECORD} characters; a quotation mark may be missing`
      : 'a quotation mark that does not open or close a cell',
    remedy: 'close each quoted cell, and double the quotation marks within it',
  };
}
