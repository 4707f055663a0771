import type { SlotPrice } from '../../tariff/index.ts';
import {
  type Calendar,
  type Instant,
  MINUTE,
  type MicroPerKwh,
  SLOT,
  type Span,
} from '../../units/index.ts';
import type { Chunks } from '../chunks.ts';
import { gatherProblems, type Problems } from '../refused.ts';
import { type Columns, findColumns, refuseHeader, unreadColumns } from './columns.ts';
import { createRowReader, type RowReader } from './row-reader.ts';
import { type RowTimes, resolveSpans } from './spans.ts';
import { inferStep } from './step.ts';
import { readTable, type TableLimits } from './table.ts';

/** The names of the columns in a table that is not written in our own form. */
export interface PriceColumns {
  readonly start: string;
  readonly end?: string;
  readonly price: string;
  readonly unit: 'per-kwh' | 'per-mwh' | 'cents-per-kwh';
}

export interface PriceCsvOptions extends TableLimits {
  /** Of the site: times without an offset are in its zone. */
  readonly calendar: Calendar;
  /** The id of the series that the prices belong to. */
  readonly series: string;
  /** How long a price holds where the table has no end; else found from its equal steps. */
  readonly minutes?: 15 | 60;
  readonly columns?: PriceColumns;
}

export interface PriceImport {
  /** By time; they do not overlap. */
  readonly prices: readonly SlotPrice[];
  readonly span: Span;
  /** Times within the span that have no price. */
  readonly holes: readonly Span[];
  /** What a keeper should know of it. */
  readonly warnings: readonly string[];
}

/** Decimal places from each unit to micro-units a kilowatt-hour. */
const POWERS = { 'per-kwh': 6, 'per-mwh': 3, 'cents-per-kwh': 4 } as const;
const HIGHEST = 100_000 * 1e6;

interface Row extends RowTimes {
  readonly price: MicroPerKwh;
}

interface PlacedPrice {
  readonly line: number;
  readonly price: SlotPrice;
}

type Key = 'start' | 'end' | 'price';

/**
 * Reads the prices of slots from a table: `start,price_per_kwh` or `start,price_per_mwh`, with an
 * `end` or without, in the site's currency. Whole file or nothing; holes are allowed and told.
 * @throws FileRefused with codes AMP_CSV_…, lines and columns.
 */
export async function readPriceCsv(chunks: Chunks, options: PriceCsvOptions): Promise<PriceImport> {
  const { calendar, series } = options;
  const problems = gatherProblems();
  const rows: Row[] = [];
  let names: PriceColumns | undefined;
  let warnings: string[] = [];
  let columns: Columns<Key> | undefined;
  let reader: RowReader | undefined;

  await readTable(
    chunks,
    {
      problems,
      header(header, line, delimiter) {
        names = options.columns ?? ownColumns(header, line);
        const { start, end, price } = names;
        const needed: Key[] = ['start', 'price'];
        if (options.columns?.end !== undefined) needed.push('end');
        columns = findColumns<Key>(header, line, { start, end, price }, needed);
        warnings = unreadColumns(header, columns);
        reader = createRowReader(header, delimiter, problems);
      },
      row(cells, line) {
        if (columns === undefined || reader === undefined || names === undefined) return;
        const row = readRow(reader, columns, POWERS[names.unit], cells, line);
        if (row !== undefined) rows.push(row);
      },
    },
    options,
  );

  const timeColumns = { start: names?.start ?? 'start', end: names?.end };
  const spans = resolveSpans(rows, calendar, timeColumns, problems);
  problems.settle();
  const step =
    columns?.end === undefined
      ? (options.minutes ?? inferStep(spans.map(({ from }) => from))) * MINUTE
      : 0;
  const placed = rows.map(({ line, price }, index): PlacedPrice => {
    const { from, to = 0 } = spans[index] ?? {};
    const start = from as Instant;
    const end = (columns?.end === undefined ? start + step : to) as Instant;
    return { line, price: { series, from: start, to: end, price } };
  });
  const { prices, repeated } = inOrder(placed, problems);
  problems.settle();
  if (repeated > 0) warnings.push(`${repeated} prices stand in the file more than once`);
  if ((reader?.rounded() ?? 0) > 0) {
    warnings.push(`${reader?.rounded()} prices had more digits than are kept, and were rounded`);
  }
  const holes = holesOf(prices);
  if (holes.length > 0) {
    const minutes = holes.reduce((sum, { from, to }) => sum + (to - from) / MINUTE, 0);
    warnings.push(`${minutes} minutes in ${holes.length} holes have no price`);
  }
  const span = { from: prices[0]?.from, to: prices.at(-1)?.to } as Span;
  return { prices, span, holes, warnings };
}

/** Our own form says the unit in the name of the column. */
function ownColumns(header: readonly string[], line: number): PriceColumns {
  const names = header.map((name) => name.toLowerCase());
  const own = [
    { price: 'price_per_kwh', unit: 'per-kwh' },
    { price: 'price_per_mwh', unit: 'per-mwh' },
  ] as const;
  const [found, another] = own.filter(({ price }) => names.includes(price));
  if (found === undefined || another !== undefined) {
    return refuseHeader(
      line,
      header,
      "the price is 'price_per_kwh' or 'price_per_mwh', one of them",
    );
  }
  return { start: 'start', end: 'end', ...found };
}

function readRow(
  reader: RowReader,
  columns: Columns<Key>,
  power: number,
  cells: readonly string[],
  line: number,
): Row | undefined {
  if (!reader.begin(cells, line)) return undefined;
  const start = reader.time(columns.start);
  const end = columns.end === undefined ? undefined : reader.time(columns.end);
  const price = reader.number(columns.price, power);
  if (price !== undefined && Math.abs(price) > HIGHEST) {
    reader.complain(
      'AMP_CSV_NUMBER',
      columns.price,
      `${price / 1e6} for a kilowatt-hour cannot be`,
      'check the unit of the prices',
    );
  }
  if (start === undefined || price === undefined) return undefined;
  if (columns.end !== undefined && end === undefined) return undefined;
  return { line, start, end, price: price as MicroPerKwh };
}

/** Sorts prices by time. The same price twice is one; anything else that overlaps is a problem. */
function inOrder(
  placed: PlacedPrice[],
  problems: Problems,
): { readonly prices: SlotPrice[]; readonly repeated: number } {
  placed.sort((a, b) => a.price.from - b.price.from);
  const prices: SlotPrice[] = [];
  let repeated = 0;
  let before: PlacedPrice | undefined;
  for (const next of placed) {
    const { line, price } = next;
    if (price.from % SLOT !== 0 || price.to % SLOT !== 0) {
      problems.add({
        code: 'AMP_CSV_TIME',
        line,
        message: 'it does not begin and end on a quarter-hour',
        remedy: 'give prices for :00, :15, :30 or :45',
      });
    } else if (before === undefined || before.price.to <= price.from) {
      prices.push(price);
      before = next;
    } else if (isSame(before.price, price)) {
      repeated += 1;
    } else {
      problems.add({
        code: 'AMP_CSV_OVERLAP',
        line,
        message: `it prices time that line ${before.line} prices already`,
        remedy: 'leave one price for each time',
      });
    }
  }
  return { prices, repeated };
}

const isSame = (a: SlotPrice, b: SlotPrice): boolean =>
  a.from === b.from && a.to === b.to && a.price === b.price;

const holesOf = (prices: readonly SlotPrice[]): Span[] =>
  prices.flatMap(({ from }, index) => {
    const end = prices[index - 1]?.to;
    return end === undefined || end === from ? [] : [{ from: end, to: from }];
  });
