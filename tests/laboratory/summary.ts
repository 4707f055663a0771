import type { Fault } from '../../src/simulator/index.ts';
import { DAY } from '../../src/units/index.ts';
import type { Outcome } from './laboratory.ts';
import type { Case } from './trial.ts';

/** What numbers.md asks of each figure. */
export const REACH = {
  margin: 0.4,
  marginPart: 0.99,
  falseAYear: 1,
  lossError: 0.05,
  intervalHolds: 0.9,
  nightError: 0.15,
} as const;

const TANK_YEAR = 365.25 * DAY;

export interface FaultRow {
  readonly kind: Fault['kind'];
  readonly struck: number;
  /** Those that showed, or were told before they did. */
  readonly shown: number;
  readonly found: number;
  readonly late: number;
  readonly missed: number;
  /** From when it showed to when it was told, ms. */
  readonly medianDelay: number | undefined;
  readonly worstDelay: number | undefined;
}

export interface Summary {
  readonly seeds: readonly number[];
  readonly tankYears: number;
  readonly faults: readonly FaultRow[];
  /** By watch, the most frequent first. */
  readonly falseAlerts: readonly { readonly watch: string; readonly count: number }[];
  readonly falseAYear: number;
  readonly trueAlerts: Readonly<Record<string, number>>;
  readonly consequences: Readonly<Record<string, number>>;
  /** Part of the stuck heaters that were told before the margin to reach was used up. */
  readonly marginKept: number | undefined;
  readonly worstMargin: number | undefined;
  readonly loss: {
    readonly tanks: number;
    readonly fitted: number;
    /** Median and 95th percentile of the error's size. */
    readonly medianError: number | undefined;
    readonly worstError: number | undefined;
    readonly within: number;
    readonly intervalHolds: number | undefined;
  };
  readonly nights: { readonly count: number; readonly medianError: number | undefined };
}

export function summarize(outcomes: readonly Outcome[]): Summary {
  const cases = outcomes.flatMap((outcome) => outcome.cases);
  const tankYears = outcomes.reduce((sum, { tankDays }) => sum + tankDays, 0) * (DAY / TANK_YEAR);
  const falses = outcomes.flatMap(({ falseAlerts }) => falseAlerts);
  const byWatch: Record<string, number> = {};
  for (const { watch } of falses) byWatch[watch] = (byWatch[watch] ?? 0) + 1;
  const kinds = [...new Set(cases.map(({ fault }) => fault.kind))].sort();
  const margins = cases.flatMap(({ found }) => found?.marginUsed ?? []);
  const missedStuck = cases.filter(
    ({ fault, outcome }) => fault.kind === 'stuck-on' && outcome === 'missed',
  ).length;
  const inTime = margins.filter((used) => used <= REACH.margin).length;
  const errors = outcomes.flatMap(({ heat }) => heat.errors);
  const sizes = errors.flatMap(({ error }) => (error === undefined ? [] : [Math.abs(error)]));
  const days = outcomes.reduce((sum, { heat }) => sum + heat.days, 0);
  const held = outcomes.reduce((sum, { heat }) => sum + heat.held, 0);
  const nights = outcomes.flatMap(({ heat }) => heat.nights.map(Math.abs));
  return {
    seeds: outcomes.map(({ seed }) => seed),
    tankYears,
    faults: kinds.map((kind) =>
      rowOf(
        kind,
        cases.filter(({ fault }) => fault.kind === kind),
      ),
    ),
    falseAlerts: Object.entries(byWatch)
      .map(([watch, count]) => ({ watch, count }))
      .sort((a, b) => b.count - a.count),
    falseAYear: falses.length / tankYears,
    trueAlerts: summed(outcomes.map((outcome) => outcome.trueAlerts)),
    consequences: summed(outcomes.map((outcome) => outcome.consequences)),
    marginKept:
      margins.length + missedStuck === 0 ? undefined : inTime / (margins.length + missedStuck),
    worstMargin: margins.length === 0 ? undefined : Math.max(...margins),
    loss: {
      tanks: errors.length,
      fitted: sizes.length,
      medianError: quantile(sizes, 0.5),
      worstError: quantile(sizes, 0.95),
      within: sizes.filter((size) => size <= REACH.lossError).length,
      intervalHolds: days === 0 ? undefined : held / days,
    },
    nights: { count: nights.length, medianError: quantile(nights, 0.5) },
  };
}

function rowOf(kind: Fault['kind'], cases: readonly Case[]): FaultRow {
  const count = (wanted: Case['outcome']) =>
    cases.filter(({ outcome }) => outcome === wanted).length;
  const delays = cases.flatMap(({ found }) => found?.delay ?? []);
  return {
    kind,
    struck: cases.length,
    shown: cases.length - count('unshown'),
    found: count('found') + count('late'),
    late: count('late'),
    missed: count('missed'),
    medianDelay: quantile(delays, 0.5),
    worstDelay: delays.length === 0 ? undefined : Math.max(...delays),
  };
}

/** The value below which this part of them lies; undefined of none. */
export function quantile(values: readonly number[], part: number): number | undefined {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(part * sorted.length))];
}

function summed(counts: readonly Readonly<Record<string, number>>[]): Record<string, number> {
  const sums: Record<string, number> = {};
  for (const count of counts) {
    for (const [key, value] of Object.entries(count)) sums[key] = (sums[key] ?? 0) + value;
  }
  return sums;
}

/** What is not as numbers.md wants it; empty when all is. */
export function shortfalls(summary: Summary): string[] {
  const { faults, falseAYear, marginKept, loss, nights } = summary;
  const short: string[] = [];
  for (const { kind, late, missed } of faults) {
    if (kind === 'stuck-on') continue;
    if (late + missed > 0) short.push(`${kind}: ${late} late, ${missed} missed`);
  }
  if (marginKept !== undefined && marginKept < REACH.marginPart) {
    short.push(`stuck-on: in time in ${percent(marginKept)}`);
  }
  if (falseAYear > REACH.falseAYear)
    short.push(`${falseAYear.toFixed(2)} false alerts a tank-year`);
  if (loss.within < loss.fitted) {
    short.push(`heat loss: ${loss.within} of ${loss.fitted} fitted tanks within 5 % at day 14`);
  }
  if ((loss.intervalHolds ?? 1) < REACH.intervalHolds) {
    short.push(`heat loss: the interval held the truth on ${percent(loss.intervalHolds ?? 0)}`);
  }
  if ((nights.medianError ?? 0) > REACH.nightError) {
    short.push(`nights: median error ${percent(nights.medianError ?? 0)}`);
  }
  return short;
}

export const percent = (part: number): string => `${(part * 100).toFixed(1)} %`;
