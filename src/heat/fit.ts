import type { HeatDay, HeatMemory } from './memory.ts';
import { type HeatModel, timeConstantH } from './model.ts';
import { merged, noMoments, weighed } from './moments.ts';
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
  /** Local knowledge rests on so many days and windows. */
  readonly days: number;
  readonly windows: number;
  /** Standard deviation of T − T_room over the windows, K. */
  readonly spreadK: number;
  /** Mean of T − T_room over the windows, K; of the prior where there are none. */
  readonly meanK: number;
  /** Variances of `lossWPerK` and `offsetW` and what they share: for bands of forecasts. */
  readonly covariance: { readonly loss: number; readonly offset: number; readonly both: number };
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

interface Solution {
  readonly loss: number;
  readonly offset: number;
  readonly covariance: HeatFit['covariance'];
}

/** Bayes: prior and data, each by its certainty. */
function solve(
  prior: HeatModel,
  sd: { loss: number; offset: number },
  days: readonly HeatDay[],
  weights: readonly number[],
  variance: number,
): Solution {
  const all = days.reduce((sum, day, i) => merged(sum, weighed(day, weights[i] ?? 1)), noMoments);
  const { weight, meanX, meanY } = all;
  const lossPrior = 1 / sd.loss ** 2;
  const offsetPrior = 1 / sd.offset ** 2;
  const a = (all.xx + weight * meanX * meanX) / variance + lossPrior;
  const b = (weight * meanX) / variance;
  const c = weight / variance + offsetPrior;
  const right = (all.xy + weight * meanX * meanY) / variance + lossPrior * prior.lossWPerK;
  const up = (weight * meanY) / variance + offsetPrior * prior.offsetW;
  const det = a * c - b * b;
  return {
    loss: (c * right - b * up) / det,
    offset: (a * up - b * right) / det,
    covariance: { loss: c / det, offset: a / det, both: -b / det },
  };
}

/** Σ w (y − line)² of a day's points. */
function unexplained(day: HeatDay, { loss, offset }: Solution): number {
  const about = day.yy - 2 * loss * day.xy + loss * loss * day.xx;
  return Math.max(0, about) + day.weight * strayOf(day, { loss, offset }) ** 2;
}

const strayOf = (day: HeatDay, line: { loss: number; offset: number }): number =>
  day.meanY - line.offset - line.loss * day.meanX;

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
  const all = days.reduce((sum, day) => merged(sum, day), noMoments);
  const otherW =
    all.weight > 0 ? days.reduce((sum, d) => sum + d.otherW * d.weight, 0) / all.weight : 0;
  const sd = {
    loss: PRIOR_LOSS * prior.lossWPerK,
    offset: Math.hypot(
      PRIOR_EVAPORATION * prior.offsetW,
      PRIOR_OTHER * otherW,
      0.01 * prior.lossWPerK,
    ),
  };
  const guess = (PRIOR_NOISE * (prior.lossWPerK * USUAL_K + prior.offsetW)) ** 2;
  let weights = days.map(() => 1);
  let variance = guess;
  let line = solve(prior, sd, days, weights, variance);
  for (let round = 0; round < ROUNDS && days.length > 0; round += 1) {
    weights = weightsOf(days, line);
    variance = varianceOf(days, weights, line, guess);
    const next = solve(prior, sd, days, weights, variance);
    const moved = Math.abs(next.loss - line.loss);
    line = next;
    if (moved < 1e-9 * prior.lossWPerK) break;
  }
  return describe(prior, line, { days, variance, all });
}

function describe(
  prior: HeatModel,
  line: Solution,
  seen: { days: readonly HeatDay[]; variance: number; all: typeof noMoments },
): HeatFit {
  const { all, days } = seen;
  // A tank that warms its room without end does not exist; a wild fit must not divide by nothing.
  const lossWPerK = Math.max(line.loss, 0.1 * prior.lossWPerK);
  const scale = METER ** 2 * (days.length > 0 ? 1 : 0);
  const covariance = {
    ...line.covariance,
    loss: line.covariance.loss + scale * lossWPerK ** 2,
  };
  const standardError = Math.sqrt(covariance.loss);
  const freedom = Math.max(3, days.length - 2 + PRIOR_NOISE_WORTH);
  const reach = (days.length > 0 ? studentT(freedom) : 1.96) * standardError;
  const status =
    days.length === 0
      ? 'prior'
      : days.length < ENOUGH_DAYS
        ? 'not-enough-days'
        : standardError > ENOUGH_SURE * lossWPerK
          ? 'not-enough-spread'
          : 'fitted';
  const model = { lossWPerK, offsetW: line.offset, storeJPerK: prior.storeJPerK };
  return {
    ...model,
    status,
    known: status === 'fitted' ? 'fitted' : 'reckoned',
    timeConstantH: timeConstantH(model),
    standardError,
    ci95: [Math.max(0, lossWPerK - reach), lossWPerK + reach],
    days: days.length,
    windows: all.n,
    spreadK: all.weight > 0 ? Math.sqrt(all.xx / all.weight) : 0,
    meanK: all.weight > 0 ? all.meanX : USUAL_K,
    covariance,
    hourlyNoiseW: Math.sqrt(seen.variance),
    freedom,
  };
}
