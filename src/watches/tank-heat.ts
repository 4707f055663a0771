import {
  coldestRoom,
  type HeatFit,
  type HeatPrior,
  heaterNeed,
  hoursLeft,
  hoursToLimit,
  needVariance,
  studentT,
} from '../heat/index.ts';
import { DAY, HOUR, type Instant, type Millis } from '../units/index.ts';
import type { Evidence, Subject } from './finding.ts';
import type { PlannedTank } from './plan.ts';
import { powerNow } from './plug-voice.ts';
import type { Sights } from './sights.ts';

/** What the books have taught of a tank's heat, and what warms it now beside its heaters. */
export interface LearnedHeat {
  readonly fit: HeatFit;
  /** Heat of its other devices, W. */
  readonly otherW: number;
}

/** The part of a tank's view that its heat is reckoned from; by geometry until enough is learned. */
export interface TankHeat {
  readonly keep: PlannedTank['keep'];
  readonly prior: HeatPrior | undefined;
  readonly learned: LearnedHeat | undefined;
  /** The water, °C. */
  readonly middle: number | undefined;
  /** The air around it, °C. */
  readonly room: number | undefined;
}

/** A reckoned value; what was learned has a band too, an end that is missing being open. */
export interface Figure {
  readonly value: number;
  readonly low?: number | undefined;
  readonly high?: number | undefined;
}

/**
 * The fit, where it is fitted, with the heat of other devices as they draw now. Where one of them is
 * not heard, what they gave on average while the tank was learned stands for all.
 */
export function learnedHeat(
  sights: Sights,
  tank: PlannedTank,
  fit: HeatFit | undefined,
  now: Instant,
): LearnedHeat | undefined {
  if (fit?.known !== 'fitted') return undefined;
  let otherW = 0;
  for (const other of tank.others) {
    const drawn = powerNow(sights, other, now);
    if (drawn === undefined) return { fit, otherW: fit.meanOtherW };
    otherW += other.intoWater * drawn.power;
  }
  return { fit, otherW };
}

/** What its heaters must give to hold it so much above the room, W. */
export function needW({ prior, learned }: TankHeat, differenceK: number): Figure | undefined {
  if (learned === undefined) return prior && { value: prior.lossWPerK * differenceK };
  const { fit, otherW } = learned;
  const value = heaterNeed(fit, differenceK, otherW);
  const reach = studentT(fit.freedom) * Math.sqrt(needVariance(fit, differenceK, otherW));
  return { value, low: value - reach, high: value + reach };
}

/** How cold the room may get, °C, before heaters of so many watts cannot hold the kept minimum. */
export function holdsDownTo(
  { keep, prior, learned }: TankHeat,
  heaterW: number,
): Figure | undefined {
  if (learned !== undefined) {
    return coldestRoom(learned.fit, { tankC: keep.min, otherW: learned.otherW, heaterW });
  }
  return prior && { value: keep.min - heaterW / prior.lossWPerK };
}

/**
 * Time until the kept range is left at this heating, ms; undefined when never or unknown.
 * @param heatingW what the heaters give from now on
 */
export const timeToLimit = (
  tank: TankHeat,
  side: 'above' | 'below',
  heatingW: number,
): Figure | undefined =>
  timeUntil(tank, side === 'above' ? tank.keep.max : tank.keep.min, side, heatingW);

/** Time until the water is above or below a temperature, ms; undefined when never or unknown. */
function timeUntil(
  tank: TankHeat,
  limit: number,
  side: 'above' | 'below',
  heatingW: number,
): Figure | undefined {
  const { middle: tankC, room: roomC, prior, learned } = tank;
  if (tankC === undefined || roomC === undefined) return undefined;
  if (learned === undefined) {
    const hours = prior && hoursToLimit(prior, { tankC, roomC, heatingW }, limit, side);
    return hours === undefined ? undefined : { value: millis(hours) };
  }
  const at = { tankC, roomC, otherW: learned.otherW, heatingW };
  const { hours, soonest, latest } = hoursLeft(learned.fit, at, limit, side);
  if (hours === undefined) return undefined;
  return {
    value: millis(hours),
    low: soonest === undefined ? undefined : millis(soonest),
    high: latest === undefined ? undefined : millis(latest),
  };
}

const millis = (hours: number): Millis => Math.round(hours * HOUR) as Millis;

/**
 * Adds a figure with its band, and once over how many days the tank's heat was learned. Without that
 * the figure is reckoned from the tank's size.
 * @param subject the tank, where it is not what the watch looks at
 */
export function noteReckoned(
  proof: Evidence[],
  { learned }: Pick<TankHeat, 'learned'>,
  what: string,
  figure: Figure | undefined,
  unit: Evidence['unit'],
  subject?: Subject,
): void {
  if (figure === undefined || !Number.isFinite(figure.value)) return;
  const { value, low, high } = figure;
  const of = subject === undefined ? {} : { subject };
  proof.push({
    ...{ what, value, unit, at: undefined },
    ...(low === undefined ? {} : { low }),
    ...(high === undefined ? {} : { high }),
    ...of,
  });
  if (learned === undefined || proof.some(isLearnedOver(subject))) return;
  const days = learned.fit.days * DAY;
  proof.push({ ...{ what: 'learned-over', value: days, unit: 'ms', at: undefined }, ...of });
}

const isLearnedOver =
  (subject: Subject | undefined) =>
  (evidence: Evidence): boolean =>
    evidence.what === 'learned-over' && evidence.subject?.id === subject?.id;

/** Adds the time until the kept range is reached again, at this heating, W. */
export function noteTimeBack(
  proof: Evidence[],
  tank: TankHeat,
  from: 'too-warm' | 'too-cold',
  heatingW: number,
): void {
  const { min, max } = tank.keep;
  const back =
    from === 'too-warm'
      ? timeUntil(tank, max, 'below', heatingW)
      : timeUntil(tank, min, 'above', heatingW);
  noteReckoned(proof, tank, 'time-to-be-back', back, 'ms');
}

/** Adds the time until a kept limit at this heating, W. */
export function noteTimeLeft(
  proof: Evidence[],
  tank: TankHeat,
  side: 'max' | 'min',
  heatingW: number,
): void {
  const left = timeToLimit(tank, side === 'max' ? 'above' : 'below', heatingW);
  noteReckoned(proof, tank, `time-to-kept-${side}`, left, 'ms');
}
