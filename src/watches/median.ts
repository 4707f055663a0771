/** The upper of the two in the middle where their number is even; undefined for none. */
export function medianOf(values: readonly number[]): number | undefined {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[sorted.length >> 1];
}
