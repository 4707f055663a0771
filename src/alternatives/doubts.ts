import type { BaselineModel } from './baseline-model.ts';
import type { Period, UsedDay } from './day.ts';
import type { FitErrors } from './fit-errors.ts';

/** What keeps a proof from being made yet. */
export type Shortfall =
  | {
      readonly kind: 'too-few-days';
      readonly period: 'baseline' | 'reporting';
      readonly have: number;
      readonly need: number;
    }
  /** The baseline's days were all alike, so that nobody knows what colder ones would have drawn. */
  | { readonly kind: 'too-little-spread'; readonly haveK: number; readonly needK: number }
  /**
   * The baseline's energy does not rise with the degrees, or not beyond chance: wait for colder
   * (hotter) days, or compare without weather.
   */
  | { readonly kind: 'no-answer-to-weather' }
  /** The baseline drew nothing, so that nothing can have been saved. */
  | { readonly kind: 'nothing-drawn' };

/** What makes a proof less sure than its band says. */
export type Doubt =
  | { readonly kind: 'poor-fit'; readonly cvRmse: number; readonly limit: number }
  /** Reporting days colder than any of the baseline: the line was drawn on beyond what it rests on. */
  | { readonly kind: 'colder-than-baseline'; readonly days: number; readonly byK: number }
  | { readonly kind: 'warmer-than-baseline'; readonly days: number; readonly byK: number }
  | {
      readonly kind: 'many-days-left-out';
      readonly period: 'baseline' | 'reporting';
      /** Part of the days from the first to the last that do not count, 0–1. */
      readonly part: number;
    };

/** CalTRACK 2.0, 2.2.1.2: 37 days of a year. */
const MOST_LEFT_OUT = 0.1;

/** Standard deviation of the days' mean temperatures, K. */
export function spreadOf(days: readonly UsedDay[]): number {
  const mean = days.reduce((sum, { meanC }) => sum + meanC, 0) / days.length;
  return Math.sqrt(days.reduce((sum, { meanC }) => sum + (meanC - mean) ** 2, 0) / days.length);
}

export function doubtsOf(
  baseline: Period,
  reporting: Period,
  model: BaselineModel,
  { cvRmse }: FitErrors,
  limit: number,
): Doubt[] {
  const doubts: Doubt[] = [];
  if (cvRmse > limit) doubts.push({ kind: 'poor-fit', cvRmse, limit });
  doubts.push(...beyond(baseline.days, reporting.days, model));
  for (const [period, { use }] of Object.entries({ baseline, reporting } as const)) {
    const out = use.unmeasured + use.withoutTemperature + use.absent;
    const part = out / (out + use.used);
    if (part <= MOST_LEFT_OUT) continue;
    doubts.push({ kind: 'many-days-left-out', period: period as 'baseline' | 'reporting', part });
  }
  return doubts;
}

function beyond(
  baseline: readonly UsedDay[],
  reporting: readonly UsedDay[],
  { heating, cooling }: BaselineModel,
): Doubt[] {
  const means = baseline.map(({ meanC }) => meanC);
  const coldest = Math.min(...means);
  const warmest = Math.max(...means);
  const doubts: Doubt[] = [];
  const colder = reporting.map(({ meanC }) => coldest - meanC).filter((byK) => byK > 0);
  // Where the baseline was colder than the cooling's balance point, colder days change nothing.
  const answersToCold = heating !== undefined || (cooling && coldest > cooling.balanceC);
  if (answersToCold && colder.length > 0) {
    doubts.push({ kind: 'colder-than-baseline', days: colder.length, byK: Math.max(...colder) });
  }
  const warmer = reporting.map(({ meanC }) => meanC - warmest).filter((byK) => byK > 0);
  const answersToWarmth = cooling !== undefined || (heating && warmest < heating.balanceC);
  if (answersToWarmth && warmer.length > 0) {
    doubts.push({ kind: 'warmer-than-baseline', days: warmer.length, byK: Math.max(...warmer) });
  }
  return doubts;
}
