/** A coefficient, and how sure it is: one standard error. */
export interface Estimate {
  readonly value: number;
  readonly standardError: number;
}

export interface LeastSquares {
  /** In the order of the columns. Standard errors are of n − p degrees of freedom. */
  readonly coefficients: readonly Estimate[];
  readonly residuals: Float64Array;
  /** Sum of squared residuals. */
  readonly rss: number;
  /**
   * Variance of what the coefficients make of a row, in units of the residuals' variance. Of a sum
   * of predictions hand in the sum of their rows.
   */
  readonly leverage: (row: readonly number[]) => number;
}

/** Of a column that the ones before it explain up to this part, nothing is left to learn from. */
const DEPENDENT = 1e-9;

/**
 * Ordinary least squares by modified Gram–Schmidt: y ≈ Σ coefficient × column.
 * For an intercept hand in a column of ones, first.
 * Source: Björck, Numerical Methods for Least Squares Problems, 1996, §2.4 (from memory).
 * @returns undefined where a column follows from the others, or where there are no more rows than
 * columns
 */
export function leastSquares(
  columns: readonly Float64Array[],
  y: Float64Array,
): LeastSquares | undefined {
  const width = columns.length;
  if (y.length <= width) return undefined;

  const basis = columns.map((column) => column.slice());
  const upper = columns.map(() => new Float64Array(width));
  const onto = new Float64Array(width);
  const residuals = y.slice();
  for (const [at, q] of basis.entries()) {
    const length = Math.sqrt(dot(q, q));
    const whole = columns[at] as Float64Array;
    if (!(length > DEPENDENT * Math.sqrt(dot(whole, whole)))) return undefined;
    for (let row = 0; row < q.length; row++) q[row] = (q[row] as number) / length;
    (upper[at] as Float64Array)[at] = length;
    for (let later = at + 1; later < width; later++) {
      (upper[at] as Float64Array)[later] = takeOut(q, basis[later] as Float64Array);
    }
    onto[at] = takeOut(q, residuals);
  }

  const rss = dot(residuals, residuals);
  const variance = rss / (y.length - width);
  const inverse = invertUpper(upper);
  const coefficients = inverse.map((row) => ({
    value: dot(row, onto),
    standardError: Math.sqrt(variance * dot(row, row)),
  }));
  const leverage = (row: readonly number[]): number => {
    const along = new Float64Array(width);
    for (const [at, inverted] of inverse.entries()) {
      for (let column = at; column < width; column++) {
        along[column] = (along[column] as number) + (row[at] ?? 0) * (inverted[column] as number);
      }
    }
    return dot(along, along);
  };
  return { coefficients, residuals, rss, leverage };
}

export function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let at = 0; at < a.length; at++) sum += (a[at] as number) * (b[at] as number);
  return sum;
}

/** Takes out of a column what lies along a unit vector. @returns how much that was */
function takeOut(q: Float64Array, column: Float64Array): number {
  const along = dot(q, column);
  for (let row = 0; row < column.length; row++) {
    column[row] = (column[row] as number) - along * (q[row] as number);
  }
  return along;
}

function invertUpper(upper: readonly Float64Array[]): Float64Array[] {
  const inverse = upper.map(() => new Float64Array(upper.length));
  for (let column = 0; column < upper.length; column++) {
    for (let row = column; row >= 0; row--) {
      const own = upper[row] as Float64Array;
      let sum = row === column ? 1 : 0;
      for (let between = row + 1; between <= column; between++) {
        sum -= (own[between] as number) * ((inverse[between] as Float64Array)[column] as number);
      }
      (inverse[row] as Float64Array)[column] = sum / (own[row] as number);
    }
  }
  return inverse;
}
