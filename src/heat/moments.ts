/**
 * What least squares need to know of their points: weights, means, and products about the means.
 * Two of them can be merged, so that a day's points are kept as a few numbers. Plain JSON.
 */
export interface Moments {
  /** Points. */
  readonly n: number;
  /** Sum of their weights. */
  readonly weight: number;
  /** Of each variable. */
  readonly mean: readonly number[];
  /** Σ w (a − mean a)(b − mean b) of all pairs, row by row, `mean.length` squared of them. */
  readonly products: readonly number[];
}

export const noMoments: Moments = { n: 0, weight: 0, mean: [], products: [] };

/**
 * All points of both. Chan, Golub and LeVeque's update about the means: raw sums of squares would
 * lose the digits by which points differ.
 */
export function merged(a: Moments, b: Moments): Moments {
  if (a.weight === 0) return b;
  if (b.weight === 0) return a;
  const weight = a.weight + b.weight;
  const part = b.weight / weight;
  const between = a.weight * part;
  const apart = a.mean.map((value, i) => (b.mean[i] ?? Number.NaN) - value);
  const size = apart.length;
  return {
    n: a.n + b.n,
    weight,
    mean: a.mean.map((value, i) => value + (apart[i] ?? 0) * part),
    products: a.products.map((product, place) => {
      const row = apart[Math.floor(place / size)] ?? 0;
      const column = apart[place % size] ?? 0;
      return product + (b.products[place] ?? Number.NaN) + row * column * between;
    }),
  };
}

/** @param values one for each variable, always in the same order */
export const withPoint = (moments: Moments, values: readonly number[], weight = 1): Moments =>
  merged(moments, {
    n: 1,
    weight,
    mean: values,
    products: new Array<number>(values.length ** 2).fill(0),
  });

/** The same points, each with its weight times `factor`. */
export const weighed = (moments: Moments, factor: number): Moments => ({
  ...moments,
  weight: moments.weight * factor,
  products: moments.products.map((product) => product * factor),
});

/** Σ w (a − mean a)(b − mean b) of the variables `a` and `b`, by their places. */
export const productOf = (moments: Moments, a: number, b: number): number =>
  moments.products[a * moments.mean.length + b] ?? Number.NaN;
