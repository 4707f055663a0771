/**
 * Prices, percents and factors are written with at most six decimals, so that whole millionths hold
 * them exactly; what is multiplied of them is kept as a fraction until it is rounded once.
 */
export interface Fraction {
  readonly over: bigint;
  readonly under: bigint;
}

export const MILLION = 1_000_000n;

/** A number of at most six decimals in whole millionths. */
export const millionths = (value: number): bigint => BigInt(Math.round(value * 1e6));

/** A whole number as a fraction. */
export const whole = (value: bigint | number): Fraction => ({ over: BigInt(value), under: 1n });

export const ZERO = whole(0);

/** The larger denominator stays where the other divides it, so that long sums stay short. */
export function plus(a: Fraction, b: Fraction): Fraction {
  if (a.under < b.under) return plus(b, a);
  if (a.under % b.under === 0n) {
    return { over: a.over + b.over * (a.under / b.under), under: a.under };
  }
  return { over: a.over * b.under + b.over * a.under, under: a.under * b.under };
}

export const times = (a: Fraction, b: Fraction): Fraction => ({
  over: a.over * b.over,
  under: a.under * b.under,
});

/** Rounded to a whole multiple of `step`, halves away from zero. `under` must be above zero. */
export function rounded({ over, under }: Fraction, step = 1n): number {
  const unit = under * step;
  const size = over < 0n ? -over : over;
  const steps = (2n * size + unit) / (2n * unit);
  return Number((over < 0n ? -steps : steps) * step);
}
