import { type Moments, noMoments, productOf, withPoint } from './moments.ts';

/** y = intercept + slope·x, by least squares. Errors are standard errors. */
export interface Line {
  readonly n: number;
  readonly slope: number;
  readonly intercept: number;
  readonly slopeError: number;
  readonly interceptError: number;
  /** Standard deviation of what the line leaves unexplained: n − 2 degrees of freedom. */
  readonly residual: number;
  /** Part of the variance that the line explains, 0–1. */
  readonly r2: number;
}

/** y = slope·x, by least squares. */
export interface Ray {
  readonly n: number;
  readonly slope: number;
  readonly slopeError: number;
  /** n − 1 degrees of freedom. */
  readonly residual: number;
  /** Of Σy², not of the variance: a ray knows no mean. */
  readonly r2: number;
}

export const momentsOf = (points: readonly (readonly [x: number, y: number])[]): Moments =>
  points.reduce((sum, [x, y]) => withPoint(sum, [x, y]), noMoments);

interface Squares {
  readonly meanX: number;
  readonly meanY: number;
  readonly xx: number;
  readonly xy: number;
  readonly yy: number;
}

const squaresOf = (points: Moments): Squares => ({
  meanX: points.mean[0] ?? 0,
  meanY: points.mean[1] ?? 0,
  xx: productOf(points, 0, 0),
  xy: productOf(points, 0, 1),
  yy: productOf(points, 1, 1),
});

/** The line of least squares; undefined for fewer than three points, or all at one x. */
export function lineOf(points: Moments): Line | undefined {
  const { n, weight } = points;
  const { meanX, meanY, xx, xy, yy } = squaresOf(points);
  if (n < 3 || !(xx > 0)) return undefined;
  const slope = xy / xx;
  const unexplained = Math.max(0, yy - slope * xy);
  const variance = unexplained / (n - 2);
  return {
    n,
    slope,
    intercept: meanY - slope * meanX,
    slopeError: Math.sqrt(variance / xx),
    interceptError: Math.sqrt(variance * (1 / weight + (meanX * meanX) / xx)),
    residual: Math.sqrt(variance),
    r2: yy > 0 ? 1 - unexplained / yy : 1,
  };
}

/** The line through the origin; undefined for fewer than two points, or all at x = 0. */
export function rayOf(points: Moments): Ray | undefined {
  const { n, weight } = points;
  const about = squaresOf(points);
  const { meanX, meanY } = about;
  const xx = about.xx + weight * meanX * meanX;
  const xy = about.xy + weight * meanX * meanY;
  const yy = about.yy + weight * meanY * meanY;
  if (n < 2 || !(xx > 0)) return undefined;
  const slope = xy / xx;
  // About the means again: Σy² − slope·Σxy would cancel most of its digits.
  const miss = meanY - slope * meanX;
  const unexplained = Math.max(
    0,
    about.yy - 2 * slope * about.xy + slope * slope * about.xx + weight * miss * miss,
  );
  const variance = unexplained / (n - 1);
  return {
    n,
    slope,
    slopeError: Math.sqrt(variance / xx),
    residual: Math.sqrt(variance),
    r2: yy > 0 ? 1 - unexplained / yy : 1,
  };
}
