import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { linearRegression, linearRegressionLine, rSquared } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { leastSquares } from '../../src/alternatives/least-squares.ts';
import { runs } from '../units/runs.ts';

// NIST StRD, linear least squares; see SOURCE.md there.
const { datasets } = JSON.parse(
  readFileSync(new URL('../reference/stats/nist_strd_linear.json', import.meta.url), 'utf8'),
);

/** Digits that agree: −log10 of the relative error. */
const digits = (value: number, certified: number): number =>
  -Math.log10(Math.abs(value - certified) / Math.abs(certified));

function fitOf(columns: number[][], y: number[]) {
  const fit = leastSquares(
    columns.map((column) => Float64Array.from(column)),
    Float64Array.from(y),
  );
  if (fit === undefined) throw new Error('the columns depend on each other');
  return fit;
}

const ones = (like: readonly unknown[]): number[] => like.map(() => 1);

describe('least squares against the certified values of NIST', () => {
  it('gets Norris, a line, to ten digits', () => {
    const { x, y, certified } = datasets.find(({ name }: { name: string }) => name === 'Norris');
    const { coefficients, rss } = fitOf([ones(x), x], y);
    const [b0, b1] = coefficients;
    expect(digits(b0?.value ?? 0, certified.B0)).toBeGreaterThan(10);
    expect(digits(b0?.standardError ?? 0, certified.B0_sd)).toBeGreaterThan(10);
    expect(digits(b1?.value ?? 0, certified.B1)).toBeGreaterThan(10);
    expect(digits(b1?.standardError ?? 0, certified.B1_sd)).toBeGreaterThan(10);
    expect(digits(Math.sqrt(rss / (x.length - 2)), certified.residual_sd)).toBeGreaterThan(10);
  });

  it('gets NoInt1, a line through the origin, to ten digits', () => {
    const { x, y, certified } = datasets.find(({ name }: { name: string }) => name === 'NoInt1');
    const { coefficients, rss } = fitOf([x], y);
    expect(digits(coefficients[0]?.value ?? 0, certified.B1)).toBeGreaterThan(10);
    expect(digits(coefficients[0]?.standardError ?? 0, certified.B1_sd)).toBeGreaterThan(10);
    expect(digits(Math.sqrt(rss / (x.length - 1)), certified.residual_sd)).toBeGreaterThan(10);
  });
});

describe('least squares', () => {
  const value = fc.double({ min: -1000, max: 1000, noNaN: true });

  it('draws the lines that simple-statistics draws', () => {
    const points = fc.array(fc.tuple(value, value), { minLength: 3, maxLength: 60 });
    fc.assert(
      fc.property(points, (given) => {
        const x = given.map(([one]) => one);
        const y = given.map(([, one]) => one);
        fc.pre(Math.max(...x) - Math.min(...x) > 1);
        const line = linearRegression(given);
        const { coefficients, rss } = fitOf([ones(x), x], y);
        expect(coefficients[1]?.value).toBeCloseTo(line.m, 6);
        expect(coefficients[0]?.value).toBeCloseTo(line.b, 4);
        const mean = y.reduce((sum, one) => sum + one, 0) / y.length;
        const tss = y.reduce((sum, one) => sum + (one - mean) ** 2, 0);
        if (tss > 1)
          expect(1 - rss / tss).toBeCloseTo(rSquared(given, linearRegressionLine(line)), 6);
      }),
      runs(300),
    );
  });

  it('leaves residuals that no column explains', () => {
    const rows = fc.array(fc.tuple(value, value, value), { minLength: 6, maxLength: 40 });
    fc.assert(
      fc.property(rows, (given) => {
        const columns = [ones(given), given.map(([one]) => one), given.map(([, one]) => one)];
        const fit = leastSquares(
          columns.map((column) => Float64Array.from(column)),
          Float64Array.from(given, ([, , one]) => one),
        );
        fc.pre(fit !== undefined);
        for (const column of columns) {
          const length = Math.hypot(...column);
          const along = column.reduce((sum, one, at) => sum + one * (fit?.residuals[at] ?? 0), 0);
          expect(Math.abs(along)).toBeLessThan(1e-6 * (1 + length) * 1000);
        }
      }),
      runs(300),
    );
  });

  it('says when a column follows from the others', () => {
    const one = Float64Array.of(1, 1, 1, 1);
    const slope = Float64Array.of(0.1, 0.7, 1.9, 4.3);
    const both = slope.map((value) => 0.7 - 0.3 * value);
    expect(leastSquares([one, slope, both], Float64Array.of(1, 3, 2, 5))).toBeUndefined();
    expect(leastSquares([one, new Float64Array(4)], slope)).toBeUndefined();
  });

  it('says when there are not more rows than columns', () => {
    expect(
      leastSquares([Float64Array.of(1, 1), Float64Array.of(1, 2)], Float64Array.of(1, 2)),
    ).toBeUndefined();
  });
});
