import { MINUTES_PER_DAY, minuteOfDay, wallTimeText } from '../../units/index.ts';
import { coverage, DAY_TYPES, type DayType, type Period, QUARTER } from '../hours.ts';
import { ALL_YEAR } from '../seasons.ts';
import {
  isWrong,
  type PartlyTimeOfUse,
  type ProblemPath,
  runsOf,
  type TariffProblem,
  unknownName,
} from './problem.ts';

type PartlyPeriod = NonNullable<NonNullable<PartlyTimeOfUse['periods']>[number]>;

/** Periods name what there is, stand on quarter-hours, and hold each of them once. */
export function periodProblems(energyPath: ProblemPath, energy: PartlyTimeOfUse): TariffProblem[] {
  const { periods } = energy;
  if (periods === undefined) return [];
  const path = [...energyPath, 'periods'];
  const problems = periods.flatMap((period, index) =>
    period === undefined ? [] : wordProblems([...path, index], period, energy),
  );
  // Hours can only be counted when all of them are there and each means something.
  if (problems.some(({ code }) => code !== 'AMP_TARIFF_RATE')) return problems;
  const whole = periods.map(wholePeriod);
  if (whole.includes(undefined) || isWrong(energy, 'seasons')) return problems;
  if (isWrong(energy, 'holidays') || isWrong(energy.holidays ?? {}, 'like')) return problems;
  return [...problems, ...coverageProblems(path, whole as Period[], energy)];
}

function wordProblems(
  path: ProblemPath,
  period: PartlyPeriod,
  energy: PartlyTimeOfUse,
): TariffProblem[] {
  const { rate, season, days } = period;
  const { rates, seasons, holidays } = energy;
  return [
    ...(rate === undefined || rates === undefined
      ? []
      : unknownName(
          'AMP_TARIFF_RATE',
          [...path, 'rate'],
          rate,
          Object.keys(rates),
          'a rate of this tariff',
        )),
    ...(season === undefined || isWrong(energy, 'seasons')
      ? []
      : unknownName(
          'AMP_TARIFF_SEASON',
          [...path, 'season'],
          season,
          Object.keys(seasons ?? {}),
          'a season of this tariff',
        )),
    ...(Array.isArray(days) && !isWrong(energy, 'holidays')
      ? dayListProblems([...path, 'days'], days, holidays)
      : []),
    ...(['from', 'to'] as const).flatMap((end) => offQuarter([...path, end], period[end])),
    ...emptyHours([...path, 'to'], period),
  ];
}

function dayListProblems(
  path: ProblemPath,
  days: readonly (DayType | undefined)[],
  holidays: PartlyTimeOfUse['holidays'],
): TariffProblem[] {
  return days.flatMap((day, index): TariffProblem[] => {
    if (day === undefined) return [];
    const common = { code: 'AMP_TARIFF_HOLIDAY', path: [...path, index] } as const;
    if (days.indexOf(day) < index) {
      return [{ ...common, allowed: 'each day once', remedy: 'remove one of the two' }];
    }
    if (day !== 'holiday' || holidays?.like === 'own' || isWrong(holidays ?? {}, 'like')) return [];
    return [
      {
        ...common,
        allowed: 'holiday only where holidays have hours of their own',
        remedy: 'write holidays: { dates: [...], like: own }, or leave holiday out',
      },
    ];
  });
}

/** The books know quarter-hours: a rate cannot change within one. */
function offQuarter(path: ProblemPath, time: string | undefined): TariffProblem[] {
  if (time === undefined || minuteOfDay(time) % QUARTER === 0) return [];
  return [
    {
      code: 'AMP_TARIFF_QUARTER',
      path,
      allowed: 'a quarter-hour, because energy is booked by quarter-hours',
      remedy: 'use :00, :15, :30 or :45',
    },
  ];
}

/** 24:00 and 00:00 are the same minute, but for a day from one to the other. */
function emptyHours(path: ProblemPath, { from, to }: PartlyPeriod): TariffProblem[] {
  if (from === undefined || to === undefined || (from === '00:00' && to === '24:00')) return [];
  if (minuteOfDay(from) % MINUTES_PER_DAY !== minuteOfDay(to) % MINUTES_PER_DAY) return [];
  return [
    {
      code: 'AMP_TARIFF_EMPTY',
      path,
      found: `${to} as the end of hours that begin at ${from}`,
      allowed: 'an end that differs from the beginning',
      remedy: "for the whole day write from: '00:00', to: '24:00'",
    },
  ];
}

/** A period with its defaults, or undefined when its hours cannot be told. */
function wholePeriod(period: PartlyPeriod | undefined): Period | undefined {
  if (period?.from === undefined || period.to === undefined) return undefined;
  if (isWrong(period, 'days') || isWrong(period, 'season')) return undefined;
  const { rate = '', days = 'every-day', from, to, season } = period;
  if (typeof days !== 'string' && days.includes(undefined)) return undefined;
  const where = season === undefined ? {} : { season };
  return { rate, days: days as Period['days'], from, to, ...where };
}

/** Hours that no period holds, or more than one. */
interface Uneven {
  /** The periods that hold, by their place in the list. */
  readonly holding: readonly number[];
  /** Minutes since midnight. */
  readonly from: number;
  readonly to: number;
  readonly days: DayType[];
}

function coverageProblems(
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
