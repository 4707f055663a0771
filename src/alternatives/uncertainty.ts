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
  if (pairs === 0 || squares === 0) return 0;
  // With few neighbors the quotient of two means may leave the range of a correlation.
  return Math.min(Math.max((products * days.length) / (pairs * squares), -1), 1);
}

/**
 * As many independent days as these dependent ones are worth: n (1 − ρ) / (1 + ρ), never more than
 * there are. Source: ASHRAE Guideline 14 (from memory).
 */
export function independentDays(days: number, correlation: number): number {
  const alike = Math.min(Math.max(correlation, 0), MOST_ALIKE);
  return Math.max((days * (1 - alike)) / (1 + alike), 1);
}

/** What a band around savings is made from. */
export interface BandInput {
  /**
   * Student's t for the confidence wanted: by the divisor of `cvRmse`, as published, and by the
   * independent days less the parameters.
   */
  readonly t: { readonly published: number; readonly independent: number };
  readonly cvRmse: number;
  /** Mean of the baseline's days, mWh. */
  readonly meanEnergy: number;
  readonly baselineDays: number;
  /** Of `independentDays`. */
  readonly independent: number;
  readonly reportingDays: number;
  /** From the first to the last day of the reporting period, months. */
  readonly months: number;
  /** What the baseline would have drawn in the reporting period, mWh. */
  readonly predicted: number;
  /** Of the reporting days; see `LeastSquares`. */
  readonly leverage: number;
}

/** Half the width of the band around the savings, mWh, by either way of reckoning it. */
export interface Bands {
  /**
   * The published one: fractional savings uncertainty times savings, so that it holds for savings of
   * nothing, too. Source: CalTRACK 2.0, 4.3.2.4.
   */
  readonly sunBaltazar: number;
  /**
   * The regression's own: every reporting day errs as the baseline's did, and the model is unsure of
   * itself, the more so the further the weather is from the baseline's, and the fewer days it had.
   * Source: prediction interval of ordinary least squares (any textbook), its variance inflated for
   * errors that follow each other.
   */
  readonly regression: number;
}

/** The published band is too narrow after a short baseline; a test counts how often each holds. */
export function bandsOf(input: BandInput): Bands {
  const { t, cvRmse, baselineDays, independent, reportingDays, months } = input;
  const { a, b, d } = DAILY;
  const alike = baselineDays / independent;
  const corrected = a * months ** 2 + b * months + d;
  const spread = (alike * (1 + 2 / independent)) / reportingDays;
  return {
    sunBaltazar: t.published * corrected * cvRmse * Math.sqrt(spread) * Math.abs(input.predicted),
    regression:
      t.independent *
      cvRmse *
      input.meanEnergy *
      Math.sqrt(alike * (reportingDays + input.leverage)),
  };
}
