import { CodedError } from './errors.ts';
import type { MilliwattHours, Quantity } from './quantities.ts';

/** Whole millionths of the site's currency. */
export type MicroUnits = Quantity<'µ currency'>;
/** Whole millionths of the site's currency for one kilowatt-hour. */
export type MicroPerKwh = Quantity<'µ currency/kWh'>;

const MWH_PER_KWH = 1_000_000;

/** A decimal amount, as a keeper writes it, in micro-units (nearest). */
export const microUnits = (amount: number): MicroUnits => Math.round(amount * 1e6) as MicroUnits;
export const microPerKwh = (amount: number): MicroPerKwh => Math.round(amount * 1e6) as MicroPerKwh;

/**
 * What `energy` costs at `price`, rounded once, halves away from zero. Exact for any size:
 * products beyond 2^53 are computed as big integers.
 */
export function cost(energy: MilliwattHours, price: MicroPerKwh): MicroUnits {
  const product = energy * price;
  if (Number.isSafeInteger(product)) {
    const rounded = Math.round(Math.abs(product) / MWH_PER_KWH);
    return (product < 0 && rounded !== 0 ? -rounded : rounded) as MicroUnits;
  }
  const exact = BigInt(energy) * BigInt(price);
  const half = exact < 0n ? -500_000n : 500_000n;
  return Number((exact + half) / BigInt(MWH_PER_KWH)) as MicroUnits;
}

/** Whole weights whose sum stays below this are apportioned in exact integer arithmetic. */
const EXACT_WEIGHTS = 94_906_265; // √2^53

/**
 * Divides a whole `total` by `weights` (none negative, not all zero) so that the parts are whole
 * and sum to `total`: largest remainder, earlier parts first among equals; a negative total is
 * divided as its positive counterpart. Exact for whole weights that sum to less than 94,906,265;
 * with other weights a remainder may be misjudged in its last bits (totals up to 2^50).
 * @throws CodedError AMP_MONEY_WEIGHTS when the weights cannot divide anything.
 */
export function apportion<U extends string>(
  total: Quantity<U>,
  weights: readonly number[],
): Quantity<U>[] {
  const sum = weights.reduce((a, b) => a + b, 0);
  if (!(sum > 0 && sum < Infinity) || weights.some((weight) => weight < 0)) {
    throw new CodedError(
      'AMP_MONEY_WEIGHTS',
      `cannot divide by the weights ${weights.join(', ')}`,
      {
        remedy: 'give finite weights, none negative and at least one above zero',
      },
    );
  }
  const parts: number[] = [];
  const rests: { readonly index: number; readonly rest: number }[] = [];
  // total = whole × sum + odd, so that no product is larger than weight × sum.
  const amount = Math.abs(total);
  const exact = sum < EXACT_WEIGHTS && weights.every(Number.isInteger);
  const whole = exact ? Math.floor(amount / sum) : 0;
  const odd = exact ? amount % sum : amount;
  let left = amount;
  weights.forEach((weight, index) => {
    const product = exact ? odd * weight : odd * (weight / sum);
    const floor = Math.floor(exact ? product / sum : product);
    rests.push({ index, rest: exact ? product - floor * sum : product - floor });
    parts.push(whole * weight + floor);
    left -= whole * weight + floor;
  });
  rests.sort((a, b) => b.rest - a.rest || a.index - b.index);
  for (const { index } of rests) {
    if (left <= 0) break;
    parts[index] = (parts[index] ?? 0) + 1;
    left -= 1;
  }
  return (total < 0 ? parts.map((part) => (part === 0 ? 0 : -part)) : parts) as Quantity<U>[];
}
