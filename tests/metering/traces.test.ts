import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { beginMeter, type MeterSpec, meter } from '../../src/metering/index.ts';
import type { Reading } from '../../src/readings/index.ts';
import { Ledger } from './ledger.ts';
import { reading, spec } from './scenario.ts';

/*
 * Measured loads of real households; sources and licenses in tests/reference/power/SOURCE.md.
 * Energies may differ from the independently computed ones by 0.5 %.
 */

const folder = new URL('../reference/power/', import.meta.url);
const lines = (file: string): string[] =>
  readFileSync(new URL(file, folder), 'utf8').trim().split('\n');

interface Numbers {
  readonly samples: number;
  readonly span_s: number;
  readonly energy_hold_Wh: number;
  readonly energy_trapezoid_Wh: number;
  readonly on_s: number;
}
interface Trace {
  readonly file: string;
  readonly on_threshold_W?: number;
  readonly decimated?: Numbers;
  readonly raw?: Numbers;
}

const expected: Record<string, Trace> = JSON.parse(
  readFileSync(new URL('expected.json', folder), 'utf8'),
);
const traces = Object.entries(expected).flatMap(([name, trace]) => {
  const numbers = trace.decimated ?? trace.raw;
  const file = trace.file?.replace('power/', '');
  return numbers !== undefined && file?.startsWith('tracebase_') ? [{ name, file, numbers }] : [];
});

/** Local time without a zone, taken for UTC: only differences matter. */
const power = (line: string): Reading => {
  const [, day, month, year, time, value] = /^(..)\/(..)\/(....) (.*?);(\d+);/.exec(line) ?? [];
  return reading('power', Number(value), Date.parse(`${year}-${month}-${day}T${time}Z`));
};

function run(how: MeterSpec, readings: readonly Reading[]): Ledger {
  const ledger = new Ledger();
  let state = beginMeter();
  for (const next of readings) {
    const step = meter(how, state, next);
    state = step.state;
    ledger.post(step.postings);
  }
  expect(ledger.faults()).toEqual([]);
  return ledger;
}

const within = (found: number, expectedWh: number, percent: number): void =>
  expect(Math.abs(found / 1000 / expectedWh - 1) * 100).toBeLessThanOrEqual(percent);

describe('the traces of tracebase', () => {
  it('are all nine there', () => expect(traces).toHaveLength(9));

  for (const { name, file, numbers } of traces) {
    const readings = lines(file).map(power);

    it(`${name}: holding each power`, () => {
      const ledger = run(spec({ reporting: 'on-change' }), readings);
      const { energy, covered } = ledger.total(['integrated']);
      within(energy, numbers.energy_hold_Wh, 0.5);
      expect(covered).toBe(numbers.span_s * 1000);
      expect(ledger.total(['bridged']).energy).toBe(0);
    });

    it(`${name}: drawing lines between samples`, () => {
      const ledger = run(spec({ reporting: 'interval' }), readings);
      within(ledger.total(['integrated']).energy, numbers.energy_trapezoid_Wh, 0.5);
    });

    it(`${name}: with every reading delivered twice and one in ten late`, () => {
      const muddled = readings.flatMap((each, i) => {
        const early = readings[i - 5];
        return early !== undefined && i % 10 === 0 ? [each, each, early] : [each, each];
      });
      const ledger = run(spec(), muddled);
      within(ledger.total(['integrated']).energy, numbers.energy_hold_Wh, 0.5);
    });
  }
});

describe('the bedroom circuit of AMPds2', () => {
  const rows = lines('ampds2_B1E_2014-03-01_to_03_utc_1min.csv')
    .slice(1)
    .map((line) => line.split(',').map(Number));
  const column = (measure: 'power' | 'counter', index: number): Reading[] =>
    rows.map((row) => reading(measure, row[index] ?? Number.NaN, (row[0] ?? Number.NaN) * 1000));
  const powers = column('power', 3);
  const counters = column('counter', 4);

  it('counts 147 Wh by its counter alone', () => {
    const { energy, covered } = run(spec(), counters).total(['counted']);
    expect(energy).toBe(147_000);
    expect(covered).toBe(4319 * 60_000);
  });

  it('integrates 145.6 Wh from its power alone', () => {
    const { energy } = run(spec(), powers).total(['integrated']);
    expect(Math.abs(energy - 145_600)).toBeLessThanOrEqual(1);
  });

  it('counts the same 147 Wh with both, shaped by the power', () => {
    const both = powers.flatMap((each, i) => [each, counters[i] ?? each]);
    const ledger = run(spec(), both);
    expect(ledger.total(['counted']).energy).toBe(147_000);
    // The counter's steps are whole Wh: what came after the last one is less than one.
    expect(ledger.total(['integrated']).energy).toBeLessThan(1000);
  });

  // How far the slots are from what power alone says, as a part of the whole. Some of it is the
  // meter's own: its counter and its power differ by up to 10 % within a day.
  const apart = (ledger: Ledger): number => {
    let sum = 0;
    for (const { slot, energy } of run(spec(), powers).sums.values()) {
      sum += Math.abs(energy - ledger.total(['counted', 'integrated'], slot).energy);
    }
    return sum / 145_600;
  };
  const inSteps = (step: number): Reading[] =>
    counters.map((each) => ({ ...each, value: Math.floor(each.value / step) * step }));

  it.each([
    [1, 0.11],
    [10, 0.11],
    [50, 0.31],
  ])('has its slots from the power though the counter steps by %i Wh', (step, most) => {
    const coarse = inSteps(step);
    const shaped = run(
      spec(),
      powers.flatMap((each, i) => [each, coarse[i] ?? each]),
    );
    const unshaped = run(spec(), coarse);
    const difference = (coarse.at(-1)?.value ?? 0) - (coarse[0]?.value ?? 0);
    expect(shaped.total(['counted']).energy).toBe(difference * 1000);
    expect(unshaped.total(['counted']).energy).toBe(difference * 1000);
    expect(apart(shaped)).toBeLessThan(most);
    expect(apart(shaped)).toBeLessThan(apart(unshaped));
  });

  it('differs by day as published: 57, 37 and 53 Wh between the first and last row of each', () => {
    const days = [57, 37, 53];
    for (const [day, wh] of days.entries()) {
      const { energy } = run(spec(), counters.slice(day * 1440, (day + 1) * 1440)).total([
        'counted',
      ]);
      expect(energy).toBe(wh * 1000);
    }
  });
});
