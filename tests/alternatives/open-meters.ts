import { readFileSync } from 'node:fs';
import { gunzipSync } from 'node:zlib';
import type { ProofDay } from '../../src/alternatives/index.ts';
import { DAY, type LocalDate, milliwattHours } from '../../src/units/index.ts';

/** See SOURCE.md there: generated meters, their truth, and least squares by another library. */
const file = (name: string): URL => new URL(`../reference/caltrack/${name}`, import.meta.url);
const json = (name: string) => JSON.parse(readFileSync(file(name), 'utf8'));

export const fromFahrenheit = (f: number): number => ((f - 32) * 5) / 9;

/** Rows of a gzipped table: start, its local date, and the value. */
interface Row {
  readonly start: number;
  readonly date: LocalDate;
  readonly value: number;
}

function rows(name: string): Row[] {
  const lines = gunzipSync(readFileSync(file(name)))
    .toString('utf8')
    .trim()
    .split('\n')
    .slice(1);
  return lines.map((line) => {
    const [start = '', value = ''] = line.trim().split(',');
    return {
      start: Date.parse(start),
      date: start.slice(0, 10) as LocalDate,
      value: Number(value),
    };
  });
}

function dailyMeansC(): Map<LocalDate, number> {
  const hours = new Map<LocalDate, number[]>();
  for (const { date, value } of rows('il-tempF.csv.gz')) {
    hours.set(date, [...(hours.get(date) ?? []), fromFahrenheit(value)]);
  }
  return new Map(
    [...hours].map(([date, of]) => [date, of.reduce((sum, one) => sum + one, 0) / of.length]),
  );
}

const daysFrom = (date: string, by: number): string =>
  new Date(Date.parse(date) + by * DAY).toISOString().slice(0, 10);

const meansC = dailyMeansC();

/**
 * @returns the 365 days before and after the change; a kWh or therm of the file is 10⁶ here, and days
 * of 23 or 25 hours are scaled to 24, as in the reference
 */
export function openMeter(id: string): { baseline: ProofDay[]; reporting: ProofDay[] } {
  const { blackout_start_date: change, blackout_end_date: after } =
    json('metadata_subset.json')[id];
  const meter = rows(`${id}.csv.gz`);
  // The last row only says where the one before it ends.
  const days = meter.slice(0, -1).map(({ start, date, value }, at) => ({
    date,
    energy: milliwattHours((value * 1e6 * DAY) / ((meter[at + 1]?.start ?? Number.NaN) - start)),
    meanC: meansC.get(date),
    known: 1,
  }));
  const between = (from: string, to: string) =>
    days.filter(({ date }) => date >= from && date < to);
  return {
    baseline: between(daysFrom(change, -365), change),
    reporting: between(after, daysFrom(after, 365)),
  };
}

/** The truth that a meter was generated from: the part of its load that the change took away. */
export function trueSavings(id: string): number {
  const truth = json('metadata_subset.json')[id];
  return 1 - truth.annual_reporting_total_load / truth.annual_baseline_total_load;
}

export const expectedOf = (id: string) => json('ols_expected.json')[id];
