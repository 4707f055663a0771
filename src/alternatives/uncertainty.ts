import type { UsedDay } from './day.ts';

/**
 * Sun and Baltazar's correction for errors that follow each other from day to day, by the months of
 * the reporting period. Daily form; CalTRACK 2.0, 4.3.2.4.6.
 */
const DAILY = { a: -0.00024, b: 0.03535, d: 1.00286 };
/** Errors as alike as this leave nothing independent to count. */
const MOST_ALIKE = 0.99;

/** @returns correlation of each day's error with the next day's; 0 where no two days are neighbors */
export function autocorrelation(days: readonly UsedDay[], residuals: Float64Array): number {
  let products = 0;
  let pairs = 0;
  let squares = 0;
  for (const [at, { number }] of days.entries()) {
    const error = residuals[at] ?? 0;
    squares += error * error;
    if (days[at + 1]?.number !== number + 1) continue;
    products += error * (residuals[at + 1] ?? 0);
    pairs += 1;
  }
  return pairs === 0 || squares === 0 ? 0 : products / pairs / (squares / days.length);
}

/**
 * As many independent days as these dependent ones are worth: n (1 − ρ) / (1 + ρ), never more than
 * there are. Source: ASHRAE Guideline 14 (from memory).
 */
export function independentDays(days: number, correlation: number): number {
  const alike = Math.min(Math.max(correlation, 0), MOST_ALIKE);
  return Math.max((days * (1 - alike)) / (1 + alike), 1);
}

/**
 * Half the width of the band around the savings, as a part of what was predicted: the fractional
 * savings uncertainty times the savings fraction, so that it holds for savings of nothing, too.
 * Source: CalTRACK 2.0, 4.3.2.4.
 */
export function uncertainPart(figures: {
  /** Student's t for the confidence wanted and the divisor of `cvRmse`. */
  readonly t: number;
  readonly cvRmse: number;
  readonly baselineDays: number;
  /** Of `independentDays`. */
  readonly independent: number;
  readonly reportingDays: number;
  /** From the first to the last day of the reporting period, months. */
  readonly months: number;
}): number {
  const { t, cvRmse, baselineDays, independent, reportingDays, months } = figures;
  const { a, b, d } = DAILY;
  const spread = (baselineDays / independent) * (1 + 2 / independent) * (1 / reportingDays);
  return t * (a * months ** 2 + b * months + d) * cvRmse * Math.sqrt(spread);
}
