import type { MicroPerKwh, MicroUnits, MilliwattHours } from '../units/index.ts';

/**
 * A sum of energy × price over slots, exact at any size: in a plain number as long as that is
 * exact, which it nearly always is, and beyond it in a big integer.
 */
export interface ProductSum {
  near: number;
  far: bigint;
}

/** Two of these still add up exactly. */
const EXACT = 2 ** 52;
const MWH_PER_KWH = 1_000_000;

export const newProductSum = (): ProductSum => ({ near: 0, far: 0n });

export function addProduct(to: ProductSum, energy: MilliwattHours, price: MicroPerKwh): void {
  const product = energy * price;
  const near = to.near + product;
  if (Math.abs(product) <= EXACT && Math.abs(near) <= EXACT) to.near = near;
  else to.far += BigInt(energy) * BigInt(price);
}

export function addProductSum(to: ProductSum, more: ProductSum): void {
  const near = to.near + more.near;
  if (Math.abs(near) <= EXACT) to.near = near;
  else to.far += BigInt(more.near);
  to.far += more.far;
}

/** In micro-units, rounded once, halves away from zero. */
export function costOf({ near, far }: ProductSum): MicroUnits {
  if (far !== 0n) {
    const exact = far + BigInt(near);
    const half = exact < 0n ? -500_000n : 500_000n;
    return Number((exact + half) / BigInt(MWH_PER_KWH)) as MicroUnits;
  }
  const amount = Math.abs(near);
  const rest = amount % MWH_PER_KWH;
  const rounded = (amount - rest) / MWH_PER_KWH + (rest >= MWH_PER_KWH / 2 ? 1 : 0);
  return (near < 0 && rounded !== 0 ? -rounded : rounded) as MicroUnits;
}

/** For JSON, which has no big integers: a number where that is exact, else its digits. */
export function productText({ near, far }: ProductSum): number | string {
  return far === 0n ? near : String(far + BigInt(near));
}

export const readProduct = (text: number | string): ProductSum =>
  typeof text === 'number' ? { near: text, far: 0n } : { near: 0, far: BigInt(text) };
