import { apportion, type Quantity } from '../units/index.ts';
import { type SharesConfig, UPKEEP } from './config.ts';

/** The part of a device that belongs to one tank, or to the upkeep. */
export interface Share {
  /** A tank's id, or 'upkeep'. */
  readonly tank: string;
  /** A whole number; the shares of a device are taken in proportion to their sum. */
  readonly weight: number;
}

const MILLION = 1_000_000;

export const ALL_UPKEEP: readonly Share[] = [{ tank: UPKEEP, weight: MILLION }];

/**
 * Whose a device is, in the order the config names them: its tank, its shares, or else the upkeep.
 * Fractions are taken to the millionth, and in proportion to their sum, so that three times 0.333
 * are three thirds.
 */
export function sharesOf(device: {
  readonly tank?: string | undefined;
  readonly shares?: SharesConfig | undefined;
}): readonly Share[] {
  if (device.shares !== undefined) {
    const shares = Object.entries(device.shares)
      .map(([tank, fraction]) => ({ tank, weight: Math.round(fraction * MILLION) }))
      .filter(({ weight }) => weight > 0);
    return shares.length === 0 ? ALL_UPKEEP : shares;
  }
  return device.tank === undefined ? ALL_UPKEEP : [{ tank: device.tank, weight: MILLION }];
}

/** Whole weights up to this sum are apportioned in exact integer arithmetic. */
const MOST_WEIGHT = 90_000_000;

/**
 * Whole weights in proportion to amounts of which at least one is above zero: counted in
 * `finest` parts of their unit, more coarsely where they sum to more than can be divided exactly.
 */
export function wholeWeights(amounts: readonly number[], finest = Infinity): number[] {
  const sum = amounts.reduce((total, amount) => total + amount, 0);
  const whole = Math.min(finest * sum, MOST_WEIGHT);
  return amounts.map((amount) =>
    amount > 0 ? Math.max(1, Math.round((amount / sum) * whole)) : 0,
  );
}

/**
 * Divides whole milliwatt-hours or micro-units among the shares, in their order: whole parts that
 * sum to `total`, by largest remainder, earlier shares first among equals.
 */
export function shareOut<U extends string>(
  total: Quantity<U>,
  shares: readonly Share[],
): readonly Quantity<U>[] {
  if (shares.length === 1) return [total];
  return apportion(
    total,
    shares.map(({ weight }) => weight),
  );
}
