/** The middle of the values, or the mean of the two there; NaN for none. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const low = sorted[(sorted.length - 1) >> 1] ?? Number.NaN;
  return (low + (sorted[sorted.length >> 1] ?? Number.NaN)) / 2;
}
