import type { HeatFit } from './fit.ts';
import { hoursToLimit } from './limit.ts';
import { quadratic } from './matrix.ts';
import { equilibrium, heatLoss } from './model.ts';
import { studentT } from './student.ts';

/** A figure with what it may be: low and high hold it 19 times in 20, if not told otherwise. */
export interface Banded {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

/** What the heaters must give at this difference to the room, W; below 0 where they need not. */
export const heaterNeed = (fit: HeatFit, differenceK: number, otherW: number): number =>
  fit.lossWPerK * differenceK + fit.offsetW - fit.otherFactor * otherW;

/** Variance of `heaterNeed` from what the fit does not know, W². */
export const needVariance = (fit: HeatFit, differenceK: number, otherW: number): number =>
  Math.max(0, quadratic(fit.covariance, [differenceK, 1, -otherW]));

/** The difference of two values anywhere in a band has this part of its square as variance. */
const UNIFORM_DIFFERENCE = 6;

/**
 * Variance of the heaters' mean power over `hours`, W²: of how an hour strays, and of where in its
 * band the thermostat happens to begin and to end.
 */
export const scatterOf = (fit: HeatFit, hours: number, bandK: number): number =>
  fit.hourlyNoiseW ** 2 / hours +
  ((fit.storeJPerK * bandK) / (hours * 3600)) ** 2 / UNIFORM_DIFFERENCE;

export interface Conditions {
  /** The water that is kept, °C. */
  readonly tankC: number;
  /** The air around it, °C. */
  readonly roomC: number;
  /** Heat that other devices put into the water, W: power × `heatIntoWater`. */
  readonly otherW: number;
  /** All its heaters together, W: as learned, else nameplate. */
  readonly heaterW: number;
}

/**
 * The part of the time that the heaters should draw, 0–1, and the band that it should stay in when
 * taken over so many hours, with a thermostat of this band. Undefined without heaters. At 1 the water cannot be held.
 * @param confidence 0.99 for a watch that must not cry wolf
 */
export function expectedDuty(
  fit: HeatFit,
  at: Conditions,
  over: { readonly hours: number; readonly bandK: number },
  confidence: 0.95 | 0.99 = 0.95,
): Banded | undefined {
  if (!(at.heaterW > 0)) return undefined;
  const differenceK = at.tankC - at.roomC;
  const heatW = heaterNeed(fit, differenceK, at.otherW);
  const noise = scatterOf(fit, over.hours, over.bandK);
  const reach =
    studentT(fit.freedom, confidence) *
    Math.sqrt(needVariance(fit, differenceK, at.otherW) + noise);
  const duty = (watts: number) => Math.min(1, Math.max(0, watts / at.heaterW));
  return { value: duty(heatW), low: duty(heatW - reach), high: duty(heatW + reach) };
}

/**
 * How cold the room may get, °C, before the heaters draw all the time and the water still falls.
 * `low` and `high` are how sure that is; the cautious figure is `high`.
 */
export function coldestRoom(fit: HeatFit, at: Omit<Conditions, 'roomC'>): Banded {
  const heatW = at.heaterW + fit.otherFactor * at.otherW - fit.offsetW;
  const value = at.tankC - heatW / fit.lossWPerK;
  // By the slopes of heat / UA: what the line does not know, over UA, is what the room may differ.
  const reach =
    (studentT(fit.freedom) * Math.sqrt(needVariance(fit, at.tankC - value, at.otherW))) /
    fit.lossWPerK;
  return { value, low: value - reach, high: value + reach };
}

/** Heaters by volume: 3 to 5 W a US gallon, 0.8 to 1.3 W/L. Common practice, no source. */
const TRADE_W_PER_L = [0.8, 1.3] as const;

/** The heater that the trade would put into so much water, W. */
export const tradeHeaterW = (liters: number): readonly [from: number, to: number] => [
  TRADE_W_PER_L[0] * liters,
  TRADE_W_PER_L[1] * liters,
];

/** C may be so far off: gravel, rock, a sump. Estimate. */
const STORE_ERROR = 0.1;

/** Hours from now. Undefined: never, as far as that is known. */
export interface TimeLeft {
  readonly hours: number | undefined;
  /** The least and the most it may be, by the fit's interval and ±10 % of what the tank stores. */
  readonly soonest: number | undefined;
  readonly latest: number | undefined;
}

/**
 * Until the water reaches `limitC` if all goes on as it is.
 * @param at `heatingW` is what the heaters give from now on, W: 0 where they stop; where one sticks,
 *   its power alone, since the others are off when it is warm
 * @param side 'above' for a limit that must not be exceeded, 'below' for one not to fall under
 */
export function hoursLeft(
  fit: HeatFit,
  at: Omit<Conditions, 'heaterW'> & { readonly heatingW: number },
  limitC: number,
  side: 'above' | 'below',
): TimeLeft {
  // Turned about the mean of what was seen, where the line is surest.
  const knownW = heatLoss(fit, fit.meanK, 0);
  const heatW = at.heatingW + fit.otherFactor * at.otherW;
  const hoursAt = (lossWPerK: number) => {
    const offsetW = knownW - lossWPerK * fit.meanK;
    const timeConstantH = fit.storeJPerK / lossWPerK / 3600;
    const course = { tankC: at.tankC, roomC: at.roomC, heatingW: heatW - offsetW };
    return hoursToLimit({ lossWPerK, timeConstantH }, course, limitC, side);
  };
  const hours = hoursAt(fit.lossWPerK);
  const least = 0.1 * fit.lossWPerK;
  const ends = [hours, ...fit.ci95.map((lossWPerK) => hoursAt(Math.max(least, lossWPerK)))];
  const known = ends.filter((end) => end !== undefined);
  return {
    hours,
    soonest: known.length > 0 ? Math.min(...known) * (1 - STORE_ERROR) : undefined,
    latest: known.length === ends.length ? Math.max(...known) * (1 + STORE_ERROR) : undefined,
  };
}

/** Where the water comes to rest with the heaters always on, °C: below what is kept, it is too cold. */
export const warmestHeld = (fit: HeatFit, at: Conditions): number =>
  equilibrium(fit, at.roomC, at.heaterW + fit.otherFactor * at.otherW);
