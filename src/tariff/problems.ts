import { minuteOfDay, wallTimeText } from '../units/index.ts';
import type { TariffConfig } from './config.ts';
import { coverage, QUARTER, QUARTERS_PER_DAY, type TimeOfUse } from './hours.ts';

/** Something about the tariffs that leaves a slot without a price, or with two. */
export interface TariffProblem {
  readonly code: `AMP_TARIFF_${string}`;
  /** Where it stands, below `tariffs`. */
  readonly path: readonly (string | number)[];
  readonly message: string;
  readonly remedy: string;
}

type Found = (
  code: TariffProblem['code'],
  path: readonly (string | number)[],
  message: string,
  remedy: string,
) => void;

/** Everything that keeps the tariffs from giving each slot one price, in the order they are told. */
export function tariffProblems(configs: Readonly<Record<string, TariffConfig>>): TariffProblem[] {
  const problems: TariffProblem[] = [];
  const found: Found = (code, path, message, remedy) =>
    problems.push({ code, path, message, remedy });
  const begun = new Map<string, string>();
  for (const [id, tariff] of Object.entries(configs)) {
    dateProblems(id, tariff, begun, found);
    const { energy } = tariff;
    if (energy.kind === 'flat') {
      priceProblem([id, 'energy', 'price_per_kwh'], energy.price_per_kwh, found);
    } else {
      for (const [rate, { price_per_kwh }] of Object.entries(energy.rates)) {
        priceProblem([id, 'energy', 'rates', rate, 'price_per_kwh'], price_per_kwh, found);
      }
      periodProblems([id, 'energy', 'periods'], energy, found);
    }
  }
  return problems;
}

function dateProblems(
  id: string,
  { valid_from: date }: TariffConfig,
  begun: Map<string, string>,
  found: Found,
): void {
  const path = [id, 'valid_from'];
  const day = new Date(`${date}T00:00:00Z`);
  if (Number.isNaN(day.getTime()) || day.toISOString().slice(0, 10) !== date) {
    found('AMP_TARIFF_DATE', path, `no day is called '${date}'`, 'write a date of the calendar');
    return;
  }
  const other = begun.get(date);
  if (other !== undefined) {
    found(
      'AMP_TARIFF_SAME_DATE',
      path,
      `'${id}' and '${other}' both begin on ${date}`,
      'let one tariff follow the other, or keep only one',
    );
  }
  begun.set(date, id);
}

/** Money is kept in whole millionths; a finer price would be charged as another one. */
function priceProblem(path: readonly (string | number)[], price: number, found: Found): void {
  if (Number(price.toFixed(6)) === price) return;
  found(
    'AMP_TARIFF_PRICE',
    path,
    `${price} has more than six decimals`,
    `round it, to ${price.toFixed(6)} for instance`,
  );
}

function periodProblems(
  path: readonly (string | number)[],
  { rates, periods }: TimeOfUse,
  found: Found,
): void {
  let onQuarters = true;
  periods.forEach((period, index) => {
    if (!Object.hasOwn(rates, period.rate)) {
      found(
        'AMP_TARIFF_RATE',
        [...path, index, 'rate'],
        `no rate of this tariff is called '${period.rate}'`,
        `use one of ${Object.keys(rates).join(', ')}, or add it to the rates`,
      );
    }
    for (const end of ['from', 'to'] as const) {
      if (minuteOfDay(period[end]) % QUARTER === 0) continue;
      onQuarters = false;
      found(
        'AMP_TARIFF_QUARTER',
        [...path, index, end],
        `${period[end]} is not on a quarter-hour`,
        'the books know quarter-hours: use :00, :15, :30 or :45',
      );
    }
  });
  if (onQuarters) coverageProblems(path, periods, found);
}

function coverageProblems(
  path: readonly (string | number)[],
  periods: TimeOfUse['periods'],
  found: Found,
): void {
  for (const { holding, from, to, weekdays } of unevenRuns(coverage(periods))) {
    const when = `${dayNames(weekdays)} ${wallTimeText(from)}–${wallTimeText(to)}`;
    if (holding.length === 0) {
      found('AMP_TARIFF_HOLE', path, `no rate holds ${when}`, 'add a period for these hours');
    } else {
      const rates = holding.map((index) => `'${periods[index]?.rate}' (period ${index + 1})`);
      found(
        'AMP_TARIFF_OVERLAP',
        path,
        `${rates.join(' and ')} all hold ${when}`,
        'let the periods meet without crossing; one past midnight holds early and late on its own days',
      );
    }
  }
}

interface UnevenRun {
  /** The periods that hold: none, or more than one. */
  readonly holding: readonly number[];
  /** Minutes since midnight. */
  readonly from: number;
  readonly to: number;
  readonly weekdays: number[];
}

/** Hours with no period or several, told once for all the weekdays that have them alike. */
function unevenRuns(week: readonly (readonly number[])[]): UnevenRun[] {
  const runs = new Map<string, UnevenRun>();
  for (let weekday = 1; weekday <= 7; weekday += 1) {
    const day = week.slice((weekday - 1) * QUARTERS_PER_DAY, weekday * QUARTERS_PER_DAY);
    for (let start = 0, end = 0; start < day.length; start = end) {
      const holding = day[start] ?? [];
      while (end < day.length && day[end]?.join() === holding.join()) end += 1;
      if (holding.length === 1) continue;
      const key = `${holding.join()} ${start} ${end}`;
      const run = runs.get(key);
      if (run !== undefined) run.weekdays.push(weekday);
      else
        runs.set(key, { holding, from: start * QUARTER, to: end * QUARTER, weekdays: [weekday] });
    }
  }
  return [...runs.values()];
}

const DAY_NAMES = ['Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday', 'Sunday'];

function dayNames(weekdays: readonly number[]): string {
  const days = weekdays.join('');
  if (days === '1234567') return 'every day';
  if (days === '12345') return 'Monday to Friday';
  return weekdays.map((weekday) => DAY_NAMES[weekday - 1]).join(', ');
}
