import { wallTimeText } from '../../units/index.ts';
import { coverage, DAY_TYPES, type DayType, type Period, QUARTER } from '../hours.ts';
import { ALL_YEAR } from '../seasons.ts';
import type { PartlyTimeOfUse } from './partly.ts';
import { type ProblemPath, runsOf, type TariffProblem } from './problem.ts';

/** Hours that no period holds, or more than one. */
interface Uneven {
  /** The periods that hold, by their place in the list. */
  readonly holding: readonly number[];
  /** Minutes since midnight. */
  readonly from: number;
  readonly to: number;
  readonly days: DayType[];
}

/** Hours that no period holds or several, told once for all days and seasons that have them alike. */
export function coverageProblems(
  path: ProblemPath,
  periods: readonly Period[],
  { seasons, holidays }: PartlyTimeOfUse,
): TariffProblem[] {
  const ids = seasons === undefined ? [ALL_YEAR] : Object.keys(seasons);
  const days = DAY_TYPES.filter((day) => day !== 'holiday' || holidays?.like === 'own');
  // What is uneven alike in several seasons is told once.
  const told = new Map<string, { uneven: Uneven; when: string; seasons: string[] }>();
  for (const season of ids) {
    for (const uneven of unevenHours(periods, season, days)) {
      const hours = `${wallTimeText(uneven.from)} to ${wallTimeText(uneven.to)}`;
      const when = `${dayNames(uneven.days, days)} ${hours}`;
      const key = `${uneven.holding.join()} ${when}`;
      const before = told.get(key);
      if (before === undefined) told.set(key, { uneven, when, seasons: [season] });
      else before.seasons.push(season);
    }
  }
  return [...told.values()].map(({ uneven, when, seasons: within }) => {
    const where = within.length === ids.length ? '' : ` in ${within.join(' and ')}`;
    return unevenProblem(path, uneven.holding, `${when}${where}`);
  });
}

function unevenProblem(path: ProblemPath, holding: readonly number[], when: string): TariffProblem {
  const allowed = 'one period for every hour of every day';
  const [, second] = holding;
  if (second === undefined) {
    return {
      code: 'AMP_TARIFF_HOLE',
      path,
      at: 'key',
      found: `no period for ${when}`,
      allowed,
      remedy: 'add one for these hours',
    };
  }
  const numbers = holding.map((index) => index + 1).join(' and ');
  return {
    code: 'AMP_TARIFF_OVERLAP',
    path: [...path, second],
    found: `${holding.length} periods for ${when}: entries ${numbers}`,
    allowed,
    remedy: 'let them meet without crossing; past midnight is the early morning of the same days',
  };
}

function unevenHours(
  periods: readonly Period[],
  season: string,
  days: readonly DayType[],
): Uneven[] {
  const found = new Map<string, Uneven>();
  for (const day of days) {
    const quarters = coverage(periods, season, day);
    for (const { value, from, to } of runsOf(quarters, (a, b) => a.join() === b.join())) {
      if (value.length === 1) continue;
      const key = `${value.join()} ${from} ${to}`;
      const same = found.get(key);
      if (same !== undefined) same.days.push(day);
      else found.set(key, { holding: value, from: from * QUARTER, to: to * QUARTER, days: [day] });
    }
  }
  return [...found.values()];
}

function dayNames(days: readonly DayType[], all: readonly DayType[]): string {
  if (days.length === all.length) return 'every day';
  const text = days.join(' and ');
  if (text === DAY_TYPES.slice(0, 5).join(' and ')) return 'weekdays';
  if (text === DAY_TYPES.slice(5, 7).join(' and ')) return 'weekend';
  const name = (day: DayType): string =>
    day === 'holiday' ? 'holidays' : day.charAt(0).toUpperCase() + day.slice(1);
  return days.map(name).join(', ');
}
