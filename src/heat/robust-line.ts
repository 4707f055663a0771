import { median } from '../units/index.ts';
import { dot, inverseOf } from './matrix.ts';
import { DIFFERENCE, type HeatDay, NEEDED, OTHER } from './memory.ts';
import { type Moments, merged, noMoments, productOf, weighed } from './moments.ts';

/** How many values are sought. */
const SOUGHT = 3;
/** How many residuals the guess of the variance is worth. */
const GUESS_WORTH = 1;
/** The prior is worth as much: two days must not look hopeless. Judgment, no source. */
const LEAST_FREEDOM = 3;
/** Huber's constant: 95 % as good as least squares if nothing strays. */
const HUBER = 1.345;
const ROUNDS = 40;
/** Far below what any error of it is, as a part of UA. */
const STANDS_STILL = 1e-6;

/** UA, the offset, and how much of the other devices' heat arrives. */
interface Solution {
  readonly values: readonly [loss: number, offset: number, other: number];
  readonly covariance: readonly (readonly number[])[];
}

export interface LinePrior {
  readonly values: Solution['values'];
  /** Standard deviations. */
  readonly errors: readonly [number, number, number];
}

/** Σ w a b of two variables, about zero. */
const rawOf = (all: Moments, a: number, b: number): number =>
  productOf(all, a, b) + all.weight * (all.mean[a] ?? 0) * (all.mean[b] ?? 0);

/** Bayes: prior and data, each by its certainty. Needed = UA·difference + offset − part·other. */
function solve(prior: LinePrior, all: Moments, variance: number): Solution {
  const [loss, offset, other] = prior.values;
  const [lossError, offsetError, otherError] = prior.errors;
  if (all.weight === 0) {
    const covariance = prior.errors.map((error, i) =>
      prior.errors.map((_, j) => (i === j ? error * error : 0)),
    );
    return { values: prior.values, covariance };
  }
  const sum = (variable: number) => (all.weight * (all.mean[variable] ?? 0)) / variance;
  const raw = (a: number, b: number) => rawOf(all, a, b) / variance;
  const covariance = inverseOf([
    [raw(DIFFERENCE, DIFFERENCE) + lossError ** -2, sum(DIFFERENCE), -raw(DIFFERENCE, OTHER)],
    [sum(DIFFERENCE), all.weight / variance + offsetError ** -2, -sum(OTHER)],
    [-raw(DIFFERENCE, OTHER), -sum(OTHER), raw(OTHER, OTHER) + otherError ** -2],
  ]);
  const right = [
    raw(DIFFERENCE, NEEDED) + loss * lossError ** -2,
    sum(NEEDED) + offset * offsetError ** -2,
    -raw(OTHER, NEEDED) + other * otherError ** -2,
  ];
  const [a, b, c] = covariance.map((row) => dot(row, right)) as [number, number, number];
  return { values: [a, b, c], covariance };
}

const strayOf = (day: HeatDay, { values: [loss, offset, other] }: Solution): number =>
  (day.mean[NEEDED] ?? 0) -
  offset -
  loss * (day.mean[DIFFERENCE] ?? 0) +
  other * (day.mean[OTHER] ?? 0);

/**
 * Huber's weights, by day: what goes wrong (a lid off, a window open, a probe displaced) goes wrong
 * for hours, so that its windows must not be believed one by one.
 */
function weightsOf(days: readonly HeatDay[], line: Solution): number[] {
  const strays = days.map((day) => Math.abs(strayOf(day, line)) * Math.sqrt(day.weight));
  // 1.4826 makes the median deviation of normal errors their standard deviation.
  const limit = HUBER * 1.4826 * median(strays);
  return strays.map((stray) => (stray <= limit || days.length < 4 ? 1 : limit / stray));
}

/**
 * An hour's variance, W², from how whole days stray: what disturbs a window often lasts all day, and
 * an error of the water's temperature between two windows cancels within it.
 */
function varianceOf(
  days: readonly HeatDay[],
  weights: readonly number[],
  line: Solution,
  guess: number,
): number {
  let strays = GUESS_WORTH * guess;
  let effective = -SOUGHT;
  days.forEach((day, i) => {
    const weight = weights[i] ?? 1;
    strays += weight * day.weight * strayOf(day, line) ** 2;
    effective += weight;
  });
  return strays / (Math.max(0, effective) + GUESS_WORTH);
}

export interface RobustLine extends Solution {
  /** Of an hour's heat, W². */
  readonly variance: number;
  /** Degrees of freedom of the variance. */
  readonly freedom: number;
}

/** All days as one, each with its weight; 1 where none is given. */
export const totalOf = (days: readonly HeatDay[], weights?: readonly number[]): Moments =>
  days.reduce<Moments>((sum, day, i) => merged(sum, weighed(day, weights?.[i] ?? 1)), noMoments);

/**
 * needed = UA·difference + offset − part·other, by least squares that start from a prior and weigh
 * stray days less: weights, variance and line in turn, until the slope stands still.
 * @param guess of an hour's variance, before residuals tell, W²
 */
export function robustLine(days: readonly HeatDay[], prior: LinePrior, guess: number): RobustLine {
  let variance = guess;
  let line = solve(prior, totalOf(days), variance);
  for (let round = 0; round < ROUNDS && days.length > 0; round += 1) {
    const weights = weightsOf(days, line);
    variance = varianceOf(days, weights, line, guess);
    const next = solve(prior, totalOf(days, weights), variance);
    const moved = Math.abs(next.values[0] - line.values[0]);
    line = next;
    if (moved < STANDS_STILL * prior.values[0]) break;
  }
  const freedom = Math.max(LEAST_FREEDOM, days.length - SOUGHT + GUESS_WORTH);
  // Without a day all is the prior's, whose errors are as they are told.
  return { ...line, variance, freedom: days.length > 0 ? freedom : Infinity };
}
