import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { linearRegression, linearRegressionLine, rSquared } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import {
  lineOf,
  merged,
  momentsOf,
  noMoments,
  productOf,
  rayOf,
  weighed,
} from '../../src/heat/index.ts';
import { runs } from '../units/runs.ts';

interface Certified {
  B0?: number;
  B0_sd?: number;
  B1: number;
  B1_sd: number;
  residual_sd: number;
  r2?: number;
  r2_uncentred?: number;
}

interface Dataset {
  name: string;
  x: number[];
  y: number[];
  certified: Certified;
}

// Source: tests/reference/stats/SOURCE.md.
const { datasets } = JSON.parse(
  readFileSync(new URL('../reference/stats/nist_strd_linear.json', import.meta.url), 'utf8'),
) as { datasets: Dataset[] };

function dataset(name: string) {
  const found = datasets.find((it) => it.name === name);
  if (found === undefined) throw new Error(`no ${name}`);
  return { moments: momentsOf(found.x.map((x, i) => [x, found.y[i] ?? Number.NaN])), ...found };
}

/** To nine significant digits. */
function agrees(found: number | undefined, certified: number | undefined): void {
  expect(certified).toBeDefined();
  const off = Math.abs((found ?? Number.NaN) / (certified ?? Number.NaN) - 1);
  expect(off).toBeLessThan(5e-10);
}

const number = fc.double({ min: -100, max: 100, noNaN: true });
const points = fc.array(fc.tuple(number, number), { minLength: 3, maxLength: 60 });
/** Points at one x, or nearly so, have no line to compare. */
const spreadOut = points.filter((all) => productOf(momentsOf(all), 0, 0) > 1);

describe('a line by least squares', () => {
  it('has the certified values of NIST StRD Norris to nine digits', () => {
    const { moments, certified } = dataset('Norris');
    const line = lineOf(moments);
    expect(line?.n).toBe(36);
    agrees(line?.slope, certified.B1);
    agrees(line?.intercept, certified.B0);
    agrees(line?.slopeError, certified.B1_sd);
    agrees(line?.interceptError, certified.B0_sd);
    agrees(line?.residual, certified.residual_sd);
    agrees(line?.r2, certified.r2);
  });

  it('has those of NIST StRD NoInt1 through the origin to nine digits', () => {
    const { moments, certified } = dataset('NoInt1');
    const ray = rayOf(moments);
    agrees(ray?.slope, certified.B1);
    agrees(ray?.slopeError, certified.B1_sd);
    agrees(ray?.residual, certified.residual_sd);
    agrees(ray?.r2, certified.r2_uncentred);
  });

  it('is the line of simple-statistics on any points', () => {
    fc.assert(
      fc.property(spreadOut, (all) => {
        const ours = lineOf(momentsOf(all));
        const pairs = all.map(([x, y]) => [x, y]);
        const theirs = linearRegression(pairs);
        const scale = 1 + Math.abs(theirs.m) + Math.abs(theirs.b);
        expect(Math.abs((ours?.slope ?? Number.NaN) - theirs.m) / scale).toBeLessThan(1e-8);
        expect(Math.abs((ours?.intercept ?? Number.NaN) - theirs.b) / scale).toBeLessThan(1e-8);
        if (productOf(momentsOf(all), 1, 1) > 1) {
          expect(ours?.r2).toBeCloseTo(rSquared(pairs, linearRegressionLine(theirs)), 6);
        }
      }),
      runs(),
    );
  });

  it('does not depend on how its points were put together', () => {
    fc.assert(
      fc.property(spreadOut, fc.nat(60), (all, cut) => {
        const whole = momentsOf(all);
        const parts = merged(momentsOf(all.slice(0, cut)), momentsOf(all.slice(cut)));
        expect(parts.n).toBe(whole.n);
        expect(parts.weight).toBe(whole.weight);
        for (const key of ['mean', 'products'] as const) {
          parts[key].forEach((value, i) => {
            expect(value).toBeCloseTo(whole[key][i] ?? Number.NaN, 6);
          });
        }
        const twice = merged(whole, whole);
        expect(productOf(twice, 0, 1)).toBeCloseTo(productOf(weighed(whole, 2), 0, 1), 6);
      }),
      runs(),
    );
  });

  it('does not exist where points do not tell it', () => {
    expect(lineOf(noMoments)).toBeUndefined();
    expect(
      lineOf(
        momentsOf([
          [1, 1],
          [2, 2],
        ]),
      ),
    ).toBeUndefined();
    expect(
      lineOf(
        momentsOf([
          [3, 1],
          [3, 2],
          [3, 4],
        ]),
      ),
    ).toBeUndefined();
    expect(
      rayOf(
        momentsOf([
          [0, 1],
          [0, 2],
        ]),
      ),
    ).toBeUndefined();
  });
});
