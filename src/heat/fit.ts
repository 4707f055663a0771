import { dot } from './matrix.ts';
import { DIFFERENCE, type HeatDay, type HeatMemory, NEEDED, OTHER } from './memory.ts';
import { type HeatModel, timeConstantH } from './model.ts';
import { productOf } from './moments.ts';
import { type RobustLine, robustLine, totalOf } from './robust-line.ts';
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
  /**
   * Fitted: what the tank needs near the difference that was seen is learned, also where the slope
   * is open; the covariance says how fast that gets worse away from it.
   */
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
/** Days that are needed to tell a stray day from a usual one. */
const ENOUGH_DAYS = 7;
/** A slope less sure than this is not called fitted. */
const ENOUGH_SURE = 0.05;

/**
 * The line of heat lost against T − T_room: robust by Huber's weights for days, and Bayesian, with
 * the geometry as its prior (±30 % for UA), so that it is there from the first hour and moves from
 * reckoned to learned as days come in. Theil and Sen's slopes were the other choice; they need every
 * pair of windows and take no prior.
 * @param prior from `modelFromGeometry`; its store is taken as true
 */
export function fitOf(memory: HeatMemory, prior: HeatModel): HeatFit {
  const { days } = memory;
  const { lossWPerK: loss, offsetW } = prior;
  const guess = (PRIOR_NOISE * (loss * USUAL_K + offsetW)) ** 2;
  const otherW = totalOf(days).mean[OTHER] ?? 0;
  const line = robustLine(
    days.map((day) => aboutUsual(day, otherW)),
    {
      values: [loss, offsetW, 1],
      errors: [
        PRIOR_LOSS * loss,
        // Where nothing evaporates, what misleads a probe a little may still look like an offset.
        Math.hypot(PRIOR_EVAPORATION * offsetW, PROBES * loss, PRIOR_OTHER * otherW),
        PRIOR_OTHER,
      ],
    },
    guess,
  );
  return described(prior, aboutZero(line, otherW), days);
}

/**
 * A lamp that comes and goes shows how much of its heat arrives; a pump that always runs does not,
 * and must not be taken to be like the lamp. So the usual heat of other devices is left as assumed,
 * its error being one of the offset, and only what differs from it is weighed.
 */
function aboutUsual(day: HeatDay, otherW: number): HeatDay {
  const mean = [...day.mean];
  mean[OTHER] = (mean[OTHER] ?? 0) - otherW;
  mean[NEEDED] = (mean[NEEDED] ?? 0) + otherW;
  return { ...day, mean };
}

/** The same line with all heat of other devices as its variable. */
function aboutZero(line: RobustLine, otherW: number): RobustLine {
  const [loss, offset, other] = line.values;
  const turn = [
    [1, 0, 0],
    [0, 1, otherW],
    [0, 0, 1],
  ];
  return {
    ...line,
    values: [loss, offset + (other - 1) * otherW, other],
    covariance: turn.map((a) => {
      const row = line.covariance.map((column) => dot(column, a));
      return turn.map((b) => dot(row, b));
    }),
  };
}

/** A wrong scale of the plug shows in no residual: all that was learned is wrong by it. */
const withScale = ({ values, covariance }: RobustLine): number[][] =>
  covariance.map((row, i) =>
    row.map((value, j) => value + METER ** 2 * (values[i] ?? 0) * (values[j] ?? 0)),
  );

function described(prior: HeatModel, line: RobustLine, days: readonly HeatDay[]): HeatFit {
  const all = totalOf(days);
  // A tank that loses next to nothing does not exist; a wild fit must not divide by it.
  const lossWPerK = Math.max(line.values[0], 0.1 * prior.lossWPerK);
  const covariance = days.length > 0 ? withScale(line) : line.covariance;
  const standardError = Math.sqrt(covariance[0]?.[0] ?? Number.NaN);
  const reach = studentT(line.freedom) * standardError;
  const status = statusOf(days.length, standardError / lossWPerK);
  const model = { lossWPerK, offsetW: line.values[1], storeJPerK: prior.storeJPerK };
  return {
    ...model,
    status,
    known: days.length < ENOUGH_DAYS ? 'reckoned' : 'fitted',
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
    hourlyNoiseW: Math.sqrt(line.variance),
    freedom: line.freedom,
  };
}

function statusOf(days: number, error: number): FitStatus {
  if (days === 0) return 'prior';
  if (days < ENOUGH_DAYS) return 'not-enough-days';
  return error > ENOUGH_SURE ? 'not-enough-spread' : 'fitted';
}
