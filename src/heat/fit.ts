import { dot, inverseOf, quadratic } from './matrix.ts';
import { DIFFERENCE, type HeatDay, type HeatMemory, NEEDED, OTHER } from './memory.ts';
import { type HeatModel, timeConstantH } from './model.ts';
import { type Moments, merged, noMoments, productOf, weighed } from './moments.ts';
import { studentT } from './student.ts';

/** How far the fit is to be trusted, and what it lacks. */
export type FitStatus =
  | 'fitted'
  | 'not-enough-spread' // the difference to the room hardly changed: the line's slope is open
  | 'not-enough-days'
  | 'prior'; // nothing seen yet

/** A tank's heat loss as learned from its books, with the geometry where they say too little. */
export interface HeatFit extends HeatModel {
  readonly status: FitStatus;
  readonly known: 'fitted' | 'reckoned';
  /** τ = C / UA, hours. */
  readonly timeConstantH: number;
  /** Of `lossWPerK`, W/K. */
  readonly standardError: number;
  /** Of `lossWPerK`: holds the truth 19 times in 20. */
  readonly ci95: readonly [low: number, high: number];
  /** How many days and windows it rests on. */
  readonly days: number;
  readonly windows: number;
  /** Standard deviation of T − T_room over the windows, K. */
  readonly spreadK: number;
  /** Mean of T − T_room over the windows, K; of the prior where there are none. */
  readonly meanK: number;
  /** Mean heat of other devices over the windows, W. */
  readonly meanOtherW: number;
  /** How much arrives of the heat that other devices are taken to put into the water; 1 at first. */
  readonly otherFactor: number;
  /** Of `lossWPerK`, `offsetW` and `otherFactor`, in this order: for the bands of forecasts. */
  readonly covariance: readonly (readonly number[])[];
  /** How an hour's heat strays from the line, W; n hours stray by it over √n. */
  readonly hourlyNoiseW: number;
  /** Degrees of freedom of all this. */
  readonly freedom: number;
}

/** The geometry's ±30 %, as a standard deviation. Estimate. */
const PRIOR_LOSS = 0.3;
/** How far the water's surface evaporates from what the equation says: draft, humidity. Estimate. */
const PRIOR_EVAPORATION = 0.5;
/** How wrong the assumed part of other devices' heat may be. Estimate. */
const PRIOR_OTHER = 0.3;
/** Two probes that do not agree, K. Estimate. */
const PROBES = 0.05;
/** A plug's scale: the class 1 of IEC 62053-21, which plugs seldom have been tested for. */
const METER = 0.01;
/** Before residuals tell: an hour strays by this part of the heat at `USUAL_K`. Estimate. */
const PRIOR_NOISE = 0.15;
const USUAL_K = 5;
/** How many residuals that guess is worth. */
const PRIOR_NOISE_WORTH = 1;
/** Days that are needed to tell a stray day from a usual one. */
const ENOUGH_DAYS = 7;
/** A slope less sure than this is not called fitted. */
const ENOUGH_SURE = 0.05;
/** Huber's constant: 95 % as good as least squares if nothing strays. */
const HUBER = 1.345;
const ROUNDS = 40;

/** What is sought: UA, the offset, and how much of the other devices' heat arrives. */
interface Solution {
  readonly values: readonly [loss: number, offset: number, other: number];
  readonly covariance: readonly (readonly number[])[];
}

interface Prior {
  readonly values: Solution['values'];
  /** Standard deviations. */
  readonly errors: readonly [number, number, number];
}

/** Σ w a b of two variables, about zero. */
const rawOf = (all: Moments, a: number, b: number): number =>
  productOf(all, a, b) + all.weight * (all.mean[a] ?? 0) * (all.mean[b] ?? 0);

/** Bayes: prior and data, each by its certainty. Needed = UA·difference + offset − part·other. */
function solve(prior: Prior, all: Moments, variance: number): Solution {
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

/** Σ w (needed − line)² of a day's windows. */
function unexplained(day: HeatDay, line: Solution): number {
  const [loss, , other] = line.values;
  const by = [-loss, other, 1];
  const about = by.reduce(
    (sum, a, i) => sum + by.reduce((row, b, j) => row + a * b * productOf(day, i, j), 0),
    0,
  );
  return Math.max(0, about) + day.weight * strayOf(day, line) ** 2;
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((x, y) => x - y);
  return ((sorted[(sorted.length - 1) >> 1] ?? 0) + (sorted[sorted.length >> 1] ?? 0)) / 2;
}

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

/** An hour's variance, W²: from windows or from whole days, whichever strays more. */
function varianceOf(
  days: readonly HeatDay[],
  weights: readonly number[],
  line: Solution,
  guess: number,
): number {
  let windows = 0;
  let byWindow = 0;
  let byDay = 0;
  let effective = 0;
  days.forEach((day, i) => {
    const weight = weights[i] ?? 1;
    windows += day.n * weight;
    effective += weight;
    byWindow += weight * unexplained(day, line);
    byDay += weight * day.weight * strayOf(day, line) ** 2;
  });
  const per = (sum: number, n: number) =>
    (sum + PRIOR_NOISE_WORTH * guess) / (Math.max(0, n - 2) + PRIOR_NOISE_WORTH);
  return Math.max(per(byWindow, windows), per(byDay, effective));
}

/**
 * The line of heat lost against T − T_room: robust by Huber's weights for days, and Bayesian, with
 * the geometry as its prior (±30 % for UA), so that it is there from the first hour and moves from
 * reckoned to learned as days come in. Theil and Sen's slopes were the other choice; they need every
 * pair of windows and take no prior.
 * @param prior from `modelFromGeometry`; its store is taken as true
 */
export function fitOf(memory: HeatMemory, prior: HeatModel): HeatFit {
  const { days } = memory;
  const scale = prior.lossWPerK;
  const begin: Prior = {
    values: [prior.lossWPerK, prior.offsetW, 1],
    // Where nothing evaporates, what misleads a probe a little may still look like an offset.
    errors: [
      PRIOR_LOSS * scale,
      Math.hypot(PRIOR_EVAPORATION * prior.offsetW, PROBES * scale),
      PRIOR_OTHER,
    ],
  };
  const guess = (PRIOR_NOISE * (prior.lossWPerK * USUAL_K + prior.offsetW)) ** 2;
  let variance = guess;
  let line = solve(begin, totalOf(days), variance);
  for (let round = 0; round < ROUNDS && days.length > 0; round += 1) {
    const weights = weightsOf(days, line);
    variance = varianceOf(days, weights, line, guess);
    const next = solve(begin, totalOf(days, weights), variance);
    const moved = Math.abs(next.values[0] - line.values[0]);
    line = next;
    if (moved < 1e-9 * scale) break;
  }
  return describe(prior, line, days, variance);
}

const totalOf = (days: readonly HeatDay[], weights?: readonly number[]): Moments =>
  days.reduce<Moments>((sum, day, i) => merged(sum, weighed(day, weights?.[i] ?? 1)), noMoments);

function describe(
  prior: HeatModel,
  line: Solution,
  days: readonly HeatDay[],
  variance: number,
): HeatFit {
  const all = totalOf(days);
  // A tank that loses next to nothing does not exist; a wild fit must not divide by it.
  const lossWPerK = Math.max(line.values[0], 0.1 * prior.lossWPerK);
  const covariance = line.covariance.map((row) => [...row]);
  const [first] = covariance;
  // A wrong scale of the plug shows in no residual.
  if (days.length > 0 && first?.[0] !== undefined) first[0] += (METER * lossWPerK) ** 2;
  const standardError = Math.sqrt(quadratic(covariance, [1]));
  const freedom = Math.max(3, days.length - 3 + PRIOR_NOISE_WORTH);
  const reach = (days.length > 0 ? studentT(freedom) : 1.96) * standardError;
  const status = statusOf(days.length, standardError / lossWPerK);
  const model = { lossWPerK, offsetW: line.values[1], storeJPerK: prior.storeJPerK };
  return {
    ...model,
    status,
    known: status === 'fitted' ? 'fitted' : 'reckoned',
    timeConstantH: timeConstantH(model),
    standardError,
    ci95: [Math.max(0, lossWPerK - reach), lossWPerK + reach],
    otherFactor: line.values[2],
    days: days.length,
    windows: all.n,
    spreadK: all.weight > 0 ? Math.sqrt(productOf(all, DIFFERENCE, DIFFERENCE) / all.weight) : 0,
    meanK: all.mean[DIFFERENCE] ?? USUAL_K,
    meanOtherW: all.mean[OTHER] ?? 0,
    covariance,
    hourlyNoiseW: Math.sqrt(variance),
    freedom,
  };
}

function statusOf(days: number, error: number): FitStatus {
  if (days === 0) return 'prior';
  if (days < ENOUGH_DAYS) return 'not-enough-days';
  return error > ENOUGH_SURE ? 'not-enough-spread' : 'fitted';
}
