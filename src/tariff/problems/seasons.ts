import { dayOfYear, monthDayOf, type Season, yearOfSeasons } from '../seasons.ts';
import type { PartlyFlat } from './partly.ts';
import { type ProblemPath, runsOf, type TariffProblem } from './problem.ts';

/** Each day of a leap year lies in one season; a common year is the same but for a day. */
export function seasonProblems(path: ProblemPath, seasons: PartlyFlat['seasons']): TariffProblem[] {
  if (seasons === undefined) return [];
  const problems: TariffProblem[] = [];
  const known: [string, Season][] = [];
  for (const [id, season] of Object.entries(seasons)) {
    const { from, to } = season ?? {};
    for (const [end, day] of [['from', from] as const, ['to', to] as const]) {
      if (day !== undefined && dayOfYear(day) === undefined) {
        problems.push(noSuchDay([...path, id, end]));
      }
    }
    if (from !== undefined && to !== undefined) known.push([id, { from, to }]);
  }
  if (problems.length > 0 || known.length < Object.keys(seasons).length) return problems;
  return [...problems, ...unevenYear(path, known)];
}

const noSuchDay = (path: ProblemPath): TariffProblem => ({
  code: 'AMP_TARIFF_DATE',
  path,
  allowed: 'a day that some year has, written MM-DD',
  remedy: 'check month and day',
});

function unevenYear(
  path: ProblemPath,
  seasons: readonly (readonly [string, Season])[],
): TariffProblem[] {
  const runs = runsOf(yearOfSeasons(seasons), (a, b) => a.join() === b.join());
  return runs.flatMap(({ value: holding, from, to }): TariffProblem[] => {
    const first = monthDayOf(from);
    const last = monthDayOf(to - 1);
    const days = first === last ? `on ${first}` : `from ${first} to ${last}`;
    const [, second] = holding;
    if (holding.length === 1) return [];
    if (second === undefined) {
      return [
        {
          code: 'AMP_TARIFF_SEASON_HOLE',
          path,
          at: 'key',
          found: `no season ${days}`,
          allowed: 'one season for each day of the year',
          remedy: 'let a season begin on the day after another ends; 02-29 is a day as well',
        },
      ];
    }
    return [
      {
        code: 'AMP_TARIFF_SEASON_OVERLAP',
        path: [...path, second],
        at: 'key',
        found: `${holding.join(' and ')} ${days}`,
        allowed: 'one season for each day of the year',
        remedy: 'both ends of a season belong to it: let the next begin on the day after',
      },
    ];
  });
}
