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
    return (Math.sign(product) * Math.round(Math.abs(product) / MWH_PER_KWH)) as MicroUnits;
  }
  const exact = BigInt(energy) * BigInt(price);
  const half = exact < 0n ? -500_000n : 500_000n;
  return Number((exact + half) / BigInt(MWH_PER_KWH)) as MicroUnits;
}

/**
 * Divides a whole `total` by `weights` (none negative, not all zero) so that the parts are whole
 * and sum to `total`: largest remainder, earlier parts first among equals.
 */
export function apportion<U extends string>(
  total: Quantity<U>,
  weights: readonly number[],
): Quantity<U>[] {
  const sum = weights.reduce((a, b) => a + b, 0);
  const exact = weights.map((weight) => (total * weight) / sum);
  const parts = exact.map(Math.floor);
  let left = total - parts.reduce((a, b) => a + b, 0);
  const order = exact
    .map((value, index) => ({ index, remainder: value - Math.floor(value) }))
    .sort((a, b) => b.remainder - a.remainder || a.index - b.index);
  for (const { index } of order) {
    if (left <= 0) break;
    parts[index] = (parts[index] ?? 0) + 1;
    left -= 1;
  }
  return parts as Quantity<U>[];
}
