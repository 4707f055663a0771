import type { HouseInterval } from '../../books/index.ts';
import type { Calendar, Instant, MicroUnits, MilliwattHours } from '../../units/index.ts';
import type { Chunks } from '../chunks.ts';
import { type HouseImport, houseImport } from '../house-import.ts';
import { gatherProblems, quoted } from '../refused.ts';
import { type Columns, findColumns, refuseHeader, unreadColumns } from './columns.ts';
import { createRowReader, type RowReader } from './row-reader.ts';
import { type RowTimes, resolveSpans } from './spans.ts';
import { readTable, type TableLimits } from './table.ts';

/** The names of the columns in a table that is not written in our own form. */
export interface HouseColumns {
  readonly start: string;
  /** Either end or minutes. */
  readonly end?: string;
  readonly minutes?: string;
  readonly energy: string;
  readonly unit: 'Wh' | 'kWh' | 'MWh';
  readonly cost?: string;
  readonly quality?: string;
}

export interface HouseCsvOptions extends TableLimits {
  /** Of the site: times without an offset are in its zone. */
  readonly calendar: Calendar;
  /** The id of the meter; 'house' unless told. */
  readonly meter?: string;
  readonly columns?: HouseColumns;
}

/** Our own form: `start,end,energy_kwh[,cost][,quality]` or `start,minutes,energy_kwh…`. */
const OWN: HouseColumns = {
  start: 'start',
  end: 'end',
  minutes: 'minutes',
  energy: 'energy_kwh',
  unit: 'kWh',
  cost: 'cost',
  quality: 'quality',
};

/** Decimal places from each unit to milliwatt-hours. */
const POWERS = { Wh: 3, kWh: 6, MWh: 9 } as const;
const MICRO = 6;
const LONGEST_MINUTES = 400 * 24 * 60;
const QUALITIES = ['valid', 'estimated', 'unknown'] as const;

interface Row extends RowTimes {
  readonly energy: MilliwattHours;
  readonly cost: MicroUnits | undefined;
  readonly quality: HouseInterval['quality'];
}

type Key = 'start' | 'end' | 'minutes' | 'energy' | 'cost' | 'quality';

/**
 * Reads interval data of the house from a table: the whole file or nothing, up to 20 mistakes told
 * at once. Times are ISO 8601 with an offset, or local; energies as written in `unit`, costs in the
 * site's currency; quality is valid, estimated or unknown.
 * @throws FileRefused with codes AMP_CSV_…, lines and columns.
 */
export async function readHouseCsv(chunks: Chunks, options: HouseCsvOptions): Promise<HouseImport> {
  const { calendar, meter = 'house', columns: names = OWN } = options;
  const problems = gatherProblems();
  const rows: Row[] = [];
  let warnings: string[] = [];
  let columns: Columns<Key> | undefined;
  let reader: RowReader | undefined;

  await readTable(
    chunks,
    {
      problems,
      header(header, line, delimiter) {
        columns = houseColumns(header, line, names);
        warnings = unreadColumns(header, columns);
        reader = createRowReader(header, delimiter, problems);
      },
      row(cells, line) {
        if (columns === undefined || reader === undefined) return;
        const row = readRow(reader, columns, names, cells, line);
        if (row !== undefined) rows.push(row);
      },
    },
    options,
  );

  const spans = resolveSpans(rows, calendar, { start: names.start, end: names.end }, problems);
  problems.settle();
  const placed = rows.map(({ line, energy, cost, quality }, index) => {
    const { from, to } = spans[index] ?? {};
    const interval: HouseInterval = {
      meter,
      from: from as Instant,
      to: to as Instant,
      energy,
      cost,
      quality,
    };
    return { line, interval };
  });
  placed.sort((a, b) => a.interval.from - b.interval.from);
  placed.forEach(({ line, interval }, index) => {
    const before = placed[index - 1];
    if (before === undefined || before.interval.to <= interval.from) return;
    problems.add({
      code: 'AMP_CSV_OVERLAP',
      line,
      message: `it covers time that line ${before.line} covers already`,
      remedy: 'leave each time in the file once',
    });
  });
  problems.settle();
  if ((reader?.rounded() ?? 0) > 0) {
    warnings.push(`${reader?.rounded()} numbers had more digits than are kept, and were rounded`);
  }
  const intervals = placed.map(({ interval }) => interval);
  return houseImport([{ id: meter, name: undefined, intervals }], warnings);
}

function houseColumns(header: readonly string[], line: number, names: HouseColumns): Columns<Key> {
  const { start, end, minutes, energy, cost, quality } = names;
  const columns = findColumns<Key>(header, line, { start, end, minutes, energy, cost, quality }, [
    'start',
    'energy',
  ]);
  if ((columns.end === undefined) === (columns.minutes === undefined)) {
    refuseHeader(
      line,
      header,
      `a row ends by '${end ?? 'end'}' or by '${minutes ?? 'minutes'}', one of them`,
    );
  }
  return columns;
}

function readRow(
  reader: RowReader,
  columns: Columns<Key>,
  names: HouseColumns,
  cells: readonly string[],
  line: number,
): Row | undefined {
  if (!reader.begin(cells, line)) return undefined;
  const start = reader.time(columns.start);
  const end =
    columns.end === undefined
      ? reader.whole(columns.minutes, 1, LONGEST_MINUTES)
      : reader.time(columns.end);
  const energy = reader.number(columns.energy, POWERS[names.unit]);
  const cost = reader.numberOrNone(columns.cost, MICRO);
  const word = reader.text(columns.quality).toLowerCase();
  const quality = word === '' ? 'unknown' : QUALITIES.find((known) => known === word);
  if (quality === undefined) {
    reader.complain(
      'AMP_CSV_WORD',
      columns.quality,
      `no quality is called ${quoted(word)}`,
      `write ${QUALITIES.join(', ')}, or nothing`,
    );
  }
  if (energy !== undefined && energy < 0) {
    reader.complain(
      'AMP_CSV_NUMBER',
      columns.energy,
      'an energy below zero',
      'import what the house draws; what it sends back is another file',
    );
  }
  if (start === undefined || end === undefined || energy === undefined || quality === undefined) {
    return undefined;
  }
  return {
    line,
    start,
    end,
    energy: energy as MilliwattHours,
    cost: cost as MicroUnits | undefined,
    quality,
  };
}
