import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { createChance } from '../../src/simulator/index.ts';
import { HOUR, type Instant } from '../../src/units/index.ts';
import type { Outcome } from './laboratory.ts';
import type { FalseAlert } from './ledger.ts';
import { readOptions } from './options.ts';
import { quantile, shortfalls, summarize } from './summary.ts';
import { table } from './table.ts';
import type { Case } from './trial.ts';
import { weatherOf } from './weather.ts';

const T0 = Date.UTC(2025, 0, 10) as Instant;

const well: Outcome = {
  seed: 2001,
  tankDays: 3650,
  cases: [],
  falseAlerts: [],
  trueAlerts: {},
  consequences: {},
  heat: { errors: [], days: 0, held: 0, nights: [] },
  messages: 0,
};

function stuck(outcome: Case['outcome'], marginUsed?: number): Case {
  const found =
    marginUsed === undefined
      ? undefined
      : ({ at: T0, watch: 'heater-stuck-on', delay: HOUR, hold: HOUR, marginUsed } as const);
  const fault = { kind: 'stuck-on', device: 'nano-heater', from: T0 } as const;
  const rest = { target: 'device/nano-heater', mended: T0, heldSince: undefined, breakdowns: 0 };
  return { fault, outcome, found, ...rest };
}

const alarm: FalseAlert = {
  at: T0,
  watch: 'pump-stopped',
  subject: 'device/nano-filter',
  severity: 'warning',
  reason: 'draws-nothing',
  evidence: [],
  truth: {},
};

describe('the summary', () => {
  it('has nothing to complain of where nothing was missed and nothing false', () => {
    const summary = summarize([{ ...well, cases: [stuck('found', 0.3)] }]);
    expect(shortfalls(summary)).toEqual([]);
    expect(table(summary)).toContain('All figures are reached.');
  });

  it('complains of a stuck heater that was missed, or told too near the kept maximum', () => {
    const missed = summarize([{ ...well, cases: [stuck('found', 0.3), stuck('missed')] }]);
    const near = summarize([{ ...well, cases: [stuck('found', 0.3), stuck('found', 0.5)] }]);
    expect(shortfalls(missed)).toEqual(['stuck-on: in time in 50.0 %']);
    expect(shortfalls(near)).toEqual(['stuck-on: in time in 50.0 %']);
  });

  it('complains of any other fault that was missed or late', () => {
    const fault = { kind: 'silent-probe', probe: 'nano-water', from: T0 } as const;
    const cases = [
      { ...stuck('missed'), fault },
      { ...stuck('late', 0), fault },
    ];
    expect(shortfalls(summarize([{ ...well, cases }]))).toEqual(['silent-probe: 1 late, 1 missed']);
  });

  it('complains of more false alerts than one a tank-year, and counts them by watch', () => {
    const outcome = { ...well, falseAlerts: Array.from({ length: 11 }, () => alarm) };
    const summary = summarize([outcome]);
    expect(shortfalls(summary)).toEqual(['1.10 false alerts a tank-year']);
    expect(summary.falseAlerts).toEqual([{ watch: 'pump-stopped', count: 11 }]);
    expect(table(summary)).toContain('| pump-stopped | 11 | 1.101 |');
  });

  it('complains of a heat loss that is off, of an interval too narrow, of nights not foreseen', () => {
    const errors = [{ tank: 'nano', error: -0.07 }];
    const heat = { errors, days: 10, held: 8, nights: [0.1, -0.2, 0.3] };
    expect(shortfalls(summarize([{ ...well, heat }]))).toHaveLength(3);
  });

  it('takes the middle value for the median, and the last for all', () => {
    expect(quantile([5, 1, 3], 0.5)).toBe(3);
    expect(quantile([5, 1, 3], 1)).toBe(5);
    expect(quantile([], 0.5)).toBeUndefined();
  });

  it('says whether seeds were those of tuning', () => {
    expect(table(summarize([well]))).toMatch(/^Final seeds 2001 to 2001/);
    expect(table(summarize([{ ...well, seed: 7 }]))).toMatch(/^Tuning seeds 7 to 7/);
  });
});

describe('the options', () => {
  it('take final seeds, ten tanks each, for so many tank-years', () => {
    expect(readOptions(['--tank-years', '200'])?.seeds).toEqual(
      Array.from({ length: 20 }, (_, i) => 2001 + i),
    );
  });

  it('refuse what makes no sense', () => {
    expect(readOptions(['--seeds', '4-1'])).toBeUndefined();
    expect(readOptions(['--seeds', '1-2', '--trace', 'nano-heater'])).toBeUndefined();
    expect(readOptions(['--swift'])).toBeUndefined();
  });
});

describe('the weather', () => {
  it('has the January of the typical winter of Fargo, as its source counts it', () => {
    // tests/reference/climate/SOURCE.md: 744 hours, mean -13.184 °C, from -35.0 to 3.9.
    const weather = weatherOf({ ...createChance(1), next: () => 0.5 });
    const start = Date.UTC(2025, 0, 1, 6);
    const hours = Array.from({ length: 744 }, (_, i) => weather((start + i * HOUR) as Instant));
    expect(hours.reduce((sum, it) => sum + it, 0) / 744).toBeCloseTo(-13.184, 3);
    expect(Math.min(...hours)).toBe(-35);
    expect(Math.max(...hours)).toBe(3.9);
  });

  it('goes over into an invented summer without a jump', () => {
    const weather = weatherOf(createChance(5));
    const [from, to] = [Date.UTC(2025, 2, 1), Date.UTC(2025, 11, 15)];
    let before = weather(from as Instant);
    let largest = 0;
    for (let at = from + HOUR; at < to; at += HOUR) {
      const now = weather(at as Instant);
      largest = Math.max(largest, Math.abs(now - before));
      before = now;
    }
    expect(largest).toBeLessThanOrEqual(largestStepOfFile());
    expect(weather(Date.UTC(2025, 6, 15, 21) as Instant)).toBeGreaterThan(8);
  });
});

function largestStepOfFile(): number {
  const file = new URL('../reference/climate/fargo_nd_tmy2_nov-mar_hourly.csv', import.meta.url);
  const celsius = readFileSync(file, 'utf8')
    .split('\n')
    .filter((line) => /^\d/.test(line))
    .map((line) => Number(line.split(',')[4]));
  return celsius.reduce(
    (largest, it, i) => Math.max(largest, i === 0 ? 0 : Math.abs(it - (celsius[i - 1] ?? it))),
    0,
  );
}
