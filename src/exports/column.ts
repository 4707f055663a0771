import type { TariffBook } from '../tariff/index.ts';
import type {
  Calendar,
  Instant,
  MicroPerKwh,
  MicroUnits,
  Millis,
  MilliwattHours,
} from '../units/index.ts';

/** What the rows of one site are written with. */
export interface ExportSite {
  readonly calendar: Calendar;
  /** ISO 4217 code. */
  readonly currency: string;
  readonly tariffs: TariffBook;
  /** Names for people; undefined where the config gives none. */
  deviceName(id: string): string | undefined;
  tankName(id: string): string | undefined;
  /** The published price of a series that holds at an instant. */
  publishedAt(series: string, at: Instant): MicroPerKwh | undefined;
}

/**
 * One column: its key heads it in CSV and names it in JSON, and carries the unit. What is not known
 * is undefined, never 0.
 */
export type Column<Row> = {
  readonly key: string;
  /** For the documentation. */
  readonly unit: string;
  readonly meaning: string;
} & (
  | { readonly kind: 'text'; readonly of: (row: Row, site: ExportSite) => string | undefined }
  /** A whole number of the unit's `decimals`-th decimals, such as mWh for Wh with three. */
  | {
      readonly kind: 'whole';
      readonly decimals: number;
      readonly of: (row: Row, site: ExportSite) => number | undefined;
    }
  | { readonly kind: 'number'; readonly of: (row: Row, site: ExportSite) => number | undefined }
);

type Of<Row, Value> = (row: Row, site: ExportSite) => Value | undefined;

export const text = <Row>(key: string, meaning: string, of: Of<Row, string>): Column<Row> => ({
  key,
  unit: 'text',
  meaning,
  kind: 'text',
  of,
});

export const energy = <Row>(
  key: string,
  meaning: string,
  of: Of<Row, MilliwattHours>,
): Column<Row> => ({ key, unit: 'Wh', meaning, kind: 'whole', decimals: 3, of });

/** An amount of the site's currency, to the millionth. */
export const money = <Row>(key: string, meaning: string, of: Of<Row, MicroUnits>): Column<Row> => ({
  key,
  unit: 'currency',
  meaning,
  kind: 'whole',
  decimals: 6,
  of,
});

export const price = <Row>(
  key: string,
  meaning: string,
  of: Of<Row, MicroPerKwh>,
): Column<Row> => ({
  key,
  unit: 'currency per kWh',
  meaning,
  kind: 'whole',
  decimals: 6,
  of,
});

export const seconds = <Row>(key: string, meaning: string, of: Of<Row, Millis>): Column<Row> => ({
  key,
  unit: 's',
  meaning,
  kind: 'whole',
  decimals: 3,
  of,
});

export const count = <Row>(key: string, meaning: string, of: Of<Row, number>): Column<Row> => ({
  key,
  unit: 'number',
  meaning,
  kind: 'whole',
  decimals: 0,
  of,
});

/** A number as it was found: with any decimals. */
export const raw = <Row>(
  key: string,
  unit: string,
  meaning: string,
  of: Of<Row, number>,
): Column<Row> => ({
  key,
  unit,
  meaning,
  kind: 'number',
  of: (row, site) => {
    const value = of(row, site);
    return Number.isFinite(value) ? value : undefined;
  },
});

/** `NAME_utc` for programs and `NAME_local`, which every spreadsheet reads as a time. */
export const moment = <Row>(
  name: string,
  meaning: string,
  of: (row: Row) => Instant | undefined,
): [Column<Row>, Column<Row>] => [
  {
    ...text<Row>(`${name}_utc`, `${meaning}, in UTC`, (row) => utcText(of(row))),
    unit: 'time, ISO 8601',
  },
  {
    ...text<Row>(`${name}_local`, "the same by the site's wall clock", (row, { calendar }) =>
      localText(of(row), calendar),
    ),
    unit: 'time, YYYY-MM-DD HH:MM:SS',
  },
];

export const localDay = <Row>(of: (row: Row) => Instant): Column<Row> => ({
  ...text<Row>('day', 'the local day', (row, { calendar }) => calendar.dateAt(of(row))),
  unit: 'date, YYYY-MM-DD',
});

export const currency = <Row>(): Column<Row> =>
  text(
    'currency',
    'ISO 4217 code of every amount and price in the row',
    (_, site) => site.currency,
  );

/** '2026-03-03T05:15:00Z', with thousandths only where there are any. */
const utcText = (at: Instant | undefined): string | undefined =>
  at === undefined ? undefined : new Date(at).toISOString().replace('.000Z', 'Z');

function localText(at: Instant | undefined, calendar: Calendar): string | undefined {
  if (at === undefined) return undefined;
  const [stretch] = calendar.stretches({ from: at, to: (at + 1) as Instant });
  const wall = new Date(at + (stretch?.offset ?? 0)).toISOString();
  return wall.slice(0, 19).replace('T', ' ');
}
