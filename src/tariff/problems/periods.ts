import { MINUTES_PER_DAY, minuteOfDay } from '../../units/index.ts';
import { type DayType, type Period, QUARTER } from '../hours.ts';
import { coverageProblems } from './coverage.ts';
import { isWrong, type PartlyTimeOfUse } from './partly.ts';
import { type ProblemPath, type TariffProblem, unknownName } from './problem.ts';

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
