import type { HeatPrior } from './prior.ts';

export interface Course {
  /** Water now, °C. */
  readonly tankC: number;
  /** Air around it, taken as steady, °C. */
  readonly roomC: number;
  /** Heating that stays on, W; 0 for a heater that is off. */
  readonly heatingW: number;
}

type Loss = Pick<HeatPrior, 'lossWPerK' | 'timeConstantH'>;

/** Where the water would end if nothing changed, °C: T_room + P / UA. */
export const restingTemperature = (loss: Loss, course: Course): number =>
  course.roomC + course.heatingW / loss.lossWPerK;

/** T(t) = T_rest + (T₀ − T_rest)·e^(−t/τ), °C, `hours` from now. */
export function temperatureAfter(loss: Loss, course: Course, hours: number): number {
  const rest = restingTemperature(loss, course);
  return rest + (course.tankC - rest) * Math.exp(-hours / loss.timeConstantH);
}

/**
 * Hours until the water reaches `limitC`: 0 when it is there already, undefined when it never will,
 * because it moves the other way or comes to rest before.
 * @param side 'above' for a limit that must not be exceeded, 'below' for one not to fall under
 */
export function hoursToLimit(
  loss: Loss,
  course: Course,
  limitC: number,
  side: 'above' | 'below',
): number | undefined {
  if (side === 'above' ? course.tankC >= limitC : course.tankC <= limitC) return 0;
  const rest = restingTemperature(loss, course);
  if (side === 'above' ? rest <= limitC : rest >= limitC) return undefined;
  return loss.timeConstantH * Math.log((course.tankC - rest) / (limitC - rest));
}
