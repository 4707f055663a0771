import { apportion, type Quantity } from '../units/index.ts';
import { UPKEEP } from './config.ts';

/** The part of a device that belongs to one tank, or to the upkeep. */
export interface Share {
  /** A tank's id, or 'upkeep'. */
  readonly tank: string;
  /** A whole number; the shares of a device are taken in proportion to their sum. */
  readonly weight: number;
}

export const ALL_UPKEEP: readonly Share[] = [{ tank: UPKEEP, weight: 1 }];

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
