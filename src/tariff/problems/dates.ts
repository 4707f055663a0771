import type { PartlyTimeOfUse } from './partly.ts';
import type { ProblemPath, TariffProblem } from './problem.ts';

/** Says that a 'YYYY-MM-DD' is on no calendar, such as the 30th of February. */
export function noSuchDate(path: ProblemPath, date: string | undefined): TariffProblem[] {
  if (date === undefined) return [];
  const day = new Date(`${date}T00:00:00Z`);
  if (!Number.isNaN(day.getTime()) && day.toISOString().startsWith(date)) return [];
  return [
    {
      code: 'AMP_TARIFF_DATE',
      path,
      allowed: 'a day that the calendar has, written YYYY-MM-DD',
      remedy: 'check month and day',
    },
  ];
}

export function holidayProblems(
  path: ProblemPath,
  holidays: PartlyTimeOfUse['holidays'],
): TariffProblem[] {
  const dates = holidays?.dates ?? [];
  return dates.flatMap((date, index): TariffProblem[] => {
    const at = [...path, 'dates', index];
    const first = dates.indexOf(date);
    if (date === undefined || first === index) return noSuchDate(at, date);
    return [
      {
        code: 'AMP_TARIFF_HOLIDAY',
        path: at,
        found: `a date that stands in the list already, as entry ${first + 1}`,
        allowed: 'each holiday once',
        remedy: 'remove one of the two, or mend its year',
      },
    ];
  });
}
