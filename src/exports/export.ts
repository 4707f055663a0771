import type { Account, BookedEntry, Correction, DayLine, HouseInterval } from '../books/index.ts';
import type { SlotPrice } from '../tariff/index.ts';
import type { Column, ExportSite } from './column.ts';
import { correctionColumns } from './corrections.ts';
import { BYTE_ORDER_MARK, csvLine, headerLine } from './csv.ts';
import { dayColumns } from './days.ts';
import { entryColumns, entryRows } from './entries.ts';
import { deviceColumns, deviceRows, tankColumns, tankRows } from './figures.ts';
import { houseColumns } from './house.ts';
import { jsonObject } from './json.ts';
import { type Notes, noteColumns, noteRows } from './notes.ts';
import { priceColumns } from './prices.ts';

/** What each kind of export is made of. Iterables are read once, as the rows are written. */
export interface ExportSources {
  /** As they count: see `countedEntries`. */
  readonly entries: Iterable<BookedEntry>;
  /** See `dayLines`. */
  readonly days: Iterable<DayLine>;
  /** One account for each local day. */
  readonly tanks: Iterable<Account>;
  /** The account of the whole span. */
  readonly devices: Account;
  readonly house: Iterable<HouseInterval>;
  readonly prices: Iterable<SlotPrice>;
  readonly corrections: Iterable<Correction>;
  readonly notes: Notes;
}

export type ExportKind = keyof ExportSources;

/** csv for spreadsheets; json: one array; ndjson: one object a line. */
export type ExportFormat = 'csv' | 'json' | 'ndjson';

export interface ExportOptions {
  readonly site: ExportSite;
  readonly format: ExportFormat;
  /** csv: numbers with a decimal comma, semicolons between cells. Default: false. */
  readonly decimalComma?: boolean;
  /** csv: begin with a byte order mark, so that spreadsheets read names right. Default: true. */
  readonly byteOrderMark?: boolean;
}

interface Table<Source, Row> {
  readonly about: string;
  readonly columns: readonly Column<Row>[];
  readonly rows: (source: Source, site: ExportSite) => Iterable<Row>;
}

/** The columns of a kind, as the documentation lists them. */
export interface TableView {
  readonly about: string;
  readonly columns: readonly Pick<Column<never>, 'key' | 'unit' | 'meaning'>[];
}

const table = <Source, Row>(
  about: string,
  columns: readonly Column<Row>[],
  rows: (source: Source, site: ExportSite) => Iterable<Row>,
): Table<Source, Row> => ({ about, columns, rows });

const asTheyCome = <Row>(source: Iterable<Row>): Iterable<Row> => source;

const TABLES = {
  entries: table('One row for each slot, device and way of knowing.', entryColumns, entryRows),
  days: table(
    'One row for each local day, device, rate and way of knowing, where there is energy.',
    dayColumns,
    asTheyCome<DayLine>,
  ),
  tanks: table('One row for each local day and tank.', tankColumns, tankRows),
  devices: table('One row for each device, over the whole span.', deviceColumns, deviceRows),
  house: table(
    "One row for each interval of the house's meters, as imported.",
    houseColumns,
    asTheyCome<HouseInterval>,
  ),
  prices: table('One row for each published price.', priceColumns, asTheyCome<SlotPrice>),
  corrections: table(
    'One row for each correction by hand, withdrawn ones too.',
    correctionColumns,
    asTheyCome<Correction>,
  ),
  notes: table(
    'One row for everything that a meter corrected or refused, and every message that a feed refused, as far back as they are kept.',
    noteColumns,
    noteRows,
  ),
} as const;

export const EXPORT_KINDS = Object.keys(TABLES) as readonly ExportKind[];
export const EXPORT_FORMATS: readonly ExportFormat[] = ['csv', 'json', 'ndjson'];

export const tableView = (kind: ExportKind): TableView => TABLES[kind];

/**
 * The file of an export, in pieces of some kilobytes, to be written as UTF-8. Nothing is rounded:
 * the rows sum to the books of the same span.
 */
export function exportRows<Kind extends ExportKind>(
  kind: Kind,
  source: ExportSources[Kind],
  options: ExportOptions,
): Generator<string> {
  const chosen = TABLES[kind] as unknown as Table<ExportSources[Kind], unknown>;
  return inPieces(written(chosen.columns, chosen.rows(source, options.site), options));
}

function* written<Row>(
  columns: readonly Column<Row>[],
  rows: Iterable<Row>,
  options: ExportOptions,
): Generator<string> {
  const { site, format, byteOrderMark = true } = options;
  if (format === 'csv') {
    if (byteOrderMark) yield BYTE_ORDER_MARK;
    yield headerLine(columns, options);
    const line = csvLine(columns, site, options);
    for (const row of rows) yield line(row);
    return;
  }
  const object = jsonObject(columns, site);
  if (format === 'ndjson') {
    for (const row of rows) yield `${object(row)}\n`;
    return;
  }
  let before = '[\n';
  for (const row of rows) {
    yield before + object(row);
    before = ',\n';
  }
  yield before === '[\n' ? '[]\n' : '\n]\n';
}

const PIECE = 16_384;

function* inPieces(texts: Iterable<string>): Generator<string> {
  let piece = '';
  for (const text of texts) {
    piece += text;
    if (piece.length < PIECE) continue;
    yield piece;
    piece = '';
  }
  if (piece !== '') yield piece;
}
