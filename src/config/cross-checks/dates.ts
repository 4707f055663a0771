import type { Finding, Path } from '../problem.ts';

/** Says that a 'YYYY-MM-DD' is on no calendar, such as the 30th of February. */
export function impossibleDate(path: Path, date: string | undefined): Finding[] {
  if (date === undefined || isDate(date)) return [];
  return [
    { code: 'AMP_CONFIG_DATE', path, allowed: 'a day that the calendar has, written YYYY-MM-DD' },
  ];
}

export function isDate(date: string | undefined): date is string {
  if (date === undefined) return false;
  const time = Date.parse(`${date}T00:00:00Z`);
  return !Number.isNaN(time) && new Date(time).toISOString().startsWith(date);
}
