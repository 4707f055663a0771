/**
 * The inverse of a symmetric, positive definite matrix: Gauss and Jordan, which needs no pivots for
 * those. Small ones only.
 */
export function inverseOf(matrix: readonly (readonly number[])[]): number[][] {
  const size = matrix.length;
  const rows = matrix.map((row, i) => [...row, ...row.map((_, j) => (i === j ? 1 : 0))]);
  rows.forEach((pivotRow, i) => {
    const pivot = pivotRow[i] ?? Number.NaN;
    for (let j = 0; j < 2 * size; j += 1) pivotRow[j] = (pivotRow[j] ?? 0) / pivot;
    rows.forEach((row, other) => {
      const factor = row[i] ?? 0;
      if (other === i || factor === 0) return;
      for (let j = 0; j < 2 * size; j += 1) row[j] = (row[j] ?? 0) - factor * (pivotRow[j] ?? 0);
    });
  });
  return rows.map((row) => row.slice(size));
}

export const dot = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((sum, value, i) => sum + value * (b[i] ?? 0), 0);

/** aᵀ M a. */
export const quadratic = (matrix: readonly (readonly number[])[], a: readonly number[]): number =>
  matrix.reduce((sum, row, i) => sum + (a[i] ?? 0) * dot(row, a), 0);
