import { describe, expect, it } from 'vitest';
import { studentT } from '../../src/heat/index.ts';

describe("Student's t", () => {
  // Two-sided quantiles of the usual tables, from memory.
  const table = [
    [3, 3.182, 5.841],
    [5, 2.571, 4.032],
    [10, 2.228, 3.169],
    [20, 2.086, 2.845],
    [30, 2.042, 2.75],
  ] as const;

  it.each(table)(
    'with %i degrees of freedom is within 4 %, at 99 % from five up',
    (n, t95, t99) => {
      expect(Math.abs(studentT(n) / t95 - 1)).toBeLessThan(0.04);
      if (n >= 5) expect(Math.abs(studentT(n, 0.99) / t99 - 1)).toBeLessThan(0.04);
    },
  );

  it('ends at the normal distribution', () => {
    expect(studentT(1e9)).toBeCloseTo(1.959964, 5);
    expect(studentT(1e9, 0.99)).toBeCloseTo(2.575829, 5);
  });
});
