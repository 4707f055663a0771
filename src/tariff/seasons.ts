/** The first and last day of a season, 'MM-DD'; it may run over the new year. */
export interface Season {
  readonly from: string;
  readonly to: string;
}

const MONTH_LENGTHS = [31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
const MONTH_STARTS = MONTH_LENGTHS.map((_, month) =>
  MONTH_LENGTHS.slice(0, month).reduce((a, b) => a + b, 0),
);
/** Of a leap year. A common year has the same days but for one, so that it needs no table of its own. */
export const YEAR_DAYS = 366;

/** Where 'MM-DD' stands in a leap year, from 0; undefined when no year has such a day. */
export function dayOfYear(monthDay: string): number | undefined {
  const month = Number(monthDay.slice(0, 2)) - 1;
  const day = Number(monthDay.slice(3));
  const start = MONTH_STARTS[month];
  return start === undefined || day < 1 || day > (MONTH_LENGTHS[month] ?? 0)
    ? undefined
    : start + day - 1;
}

/** 'MM-DD' of a day counted from 0. */
export function monthDayOf(day: number): string {
  const month = MONTH_STARTS.findLastIndex((start) => start <= day);
  const two = (value: number): string => String(value).padStart(2, '0');
  return `${two(month + 1)}-${two(day - (MONTH_STARTS[month] ?? 0) + 1)}`;
}

/** For each day of a leap year, which seasons hold it. Their days must exist. */
export function yearOfSeasons<Id extends string>(
  seasons: readonly (readonly [Id, Season])[],
): readonly (readonly Id[])[] {
  const year = Array.from({ length: YEAR_DAYS }, (): Id[] => []);
  for (const [id, { from, to }] of seasons) {
    const first = dayOfYear(from) ?? 0;
    const last = dayOfYear(to) ?? 0;
    const length = ((last - first + YEAR_DAYS) % YEAR_DAYS) + 1;
    for (let n = 0; n < length; n += 1) year[(first + n) % YEAR_DAYS]?.push(id);
  }
  return year;
}

/** Where a tariff without seasons has its hours and blocks. */
export const ALL_YEAR = 'all the year';

/** The season of a local date 'YYYY-MM-DD'. Only for seasons that hold each day once. */
export function seasonFinder(
  seasons: Readonly<Record<string, Season>> | undefined,
): (date: string) => string {
  if (seasons === undefined) return () => ALL_YEAR;
  const year = yearOfSeasons(Object.entries(seasons));
  return (date) => year[dayOfYear(date.slice(5)) ?? 0]?.[0] ?? ALL_YEAR;
}
