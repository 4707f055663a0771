/**
 * What a straight line needs to know of its points: weights, means, and squares about the means.
 * Two of them can be merged, so that a day's points are kept as seven numbers. Plain JSON.
 */
export interface Moments {
  /** Points. */
  readonly n: number;
  /** Sum of their weights. */
  readonly weight: number;
  readonly meanX: number;
  readonly meanY: number;
  /** Σ w (x − meanX)², Σ w (x − meanX)(y − meanY), Σ w (y − meanY)². */
  readonly xx: number;
  readonly xy: number;
  readonly yy: number;
}

export const noMoments: Moments = { n: 0, weight: 0, meanX: 0, meanY: 0, xx: 0, xy: 0, yy: 0 };

/**
 * All points of both. Chan, Golub and LeVeque's update about the means: raw sums of squares would
 * lose the digits by which points differ.
 */
export function merged(a: Moments, b: Moments): Moments {
  const weight = a.weight + b.weight;
  if (weight === 0) return noMoments;
  const dx = b.meanX - a.meanX;
  const dy = b.meanY - a.meanY;
  const part = b.weight / weight;
  const between = a.weight * part;
  return {
    n: a.n + b.n,
    weight,
    meanX: a.meanX + dx * part,
    meanY: a.meanY + dy * part,
    xx: a.xx + b.xx + dx * dx * between,
    xy: a.xy + b.xy + dx * dy * between,
    yy: a.yy + b.yy + dy * dy * between,
  };
}

export const withPoint = (moments: Moments, x: number, y: number, weight = 1): Moments =>
  merged(moments, { n: 1, weight, meanX: x, meanY: y, xx: 0, xy: 0, yy: 0 });

/** The same points, each with its weight times `factor`. */
export const weighed = (moments: Moments, factor: number): Moments => ({
  ...moments,
  weight: moments.weight * factor,
  xx: moments.xx * factor,
  xy: moments.xy * factor,
  yy: moments.yy * factor,
});
