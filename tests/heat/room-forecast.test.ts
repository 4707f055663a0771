import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { forecastRoom } from '../../src/heat/index.ts';
import { DAY, SLOT } from '../../src/units/index.ts';

const SLOTS_A_DAY = DAY / SLOT;
/** 22:00 to 7:00 local. */
const NIGHT = { from: 88, length: 36 };

// Source: tests/reference/climate/SOURCE.md. Local wall time is read as if it were UTC.
const rows = readFileSync(
  new URL('../reference/climate/indoor_temperature_subset.csv', import.meta.url),
  'utf8',
)
  .trim()
  .split('\n')
  .slice(1)
  .map((line) => {
    const [date = '', value] = line.split(',');
    return { at: Date.parse(`${date.replace(' ', 'T')}Z`), celsius: Number(value) };
  });
const start = Math.ceil((rows[0]?.at ?? 0) / DAY) * DAY;
const days = Math.floor(((rows.at(-1)?.at ?? 0) - start) / DAY);

/** Slots between the values, on a straight line; none where they are more than two hours apart. */
const slots: (number | undefined)[] = [];
let next = 0;
for (let i = 0; i < days * SLOTS_A_DAY; i += 1) {
  const at = start + (i + 0.5) * SLOT;
  while ((rows[next]?.at ?? Infinity) < at) next += 1;
  const [a, b] = [rows[next - 1], rows[next]];
  const known = a !== undefined && b !== undefined && b.at - a.at <= 8 * SLOT;
  slots.push(
    known ? a.celsius + ((b.celsius - a.celsius) * (at - a.at)) / (b.at - a.at) : undefined,
  );
}

const nightOf = (day: number, lead = 0) =>
  slots.slice(day * SLOTS_A_DAY + NIGHT.from - lead, day * SLOTS_A_DAY + NIGHT.from + NIGHT.length);

const meanOf = (night: readonly (number | undefined)[]): number => {
  const values = night.filter((value) => value !== undefined);
  return values.reduce((sum, value) => sum + value, 0) / values.length;
};

describe('the nights of a real living room from January to May', () => {
  const tried = (withEvening: boolean, lead = 0) =>
    Array.from({ length: days - 8 }, (_, i) => i + 7).flatMap((day) => {
      const nights = [7, 6, 5, 4, 3, 2, 1].map((ago) => nightOf(day - ago, lead));
      const evening = slots[day * SLOTS_A_DAY + NIGHT.from - lead - 1];
      const known = withEvening ? evening : undefined;
      const forecast = forecastRoom(nights, NIGHT.length, known, lead);
      const real = meanOf(nightOf(day));
      if (forecast === undefined || Number.isNaN(real)) return [];
      const off = meanOf(forecast.roomC) - real;
      return [
        {
          off: Math.abs(off),
          errors: Math.abs(off) / forecast.errorK,
          last: Math.abs(meanOf(nightOf(day - 1)) - real),
        },
      ];
    });
  const median = (values: readonly number[]) =>
    [...values].sort((a, b) => a - b)[values.length >> 1] ?? Number.NaN;

  it('are forecast within half a kelvin when the evening is known, as the median', () => {
    const nights = tried(true);
    expect(nights.length).toBeGreaterThan(100);
    expect(median(nights.map(({ off }) => off))).toBeLessThan(0.5);
    expect(median(nights.map(({ off }) => off))).toBeLessThan(
      median(nights.map(({ last }) => last)),
    );
  });

  it('are forecast from five hours earlier on, hardly worse', () => {
    const nights = tried(true, 20);
    expect(nights.length).toBeGreaterThan(100);
    expect(median(nights.map(({ off }) => off))).toBeLessThan(0.6);
    const within = nights.filter(({ errors }) => errors <= 1.645).length / nights.length;
    expect(within).toBeGreaterThan(0.8);
    expect(within).toBeLessThan(0.99);
  });

  it('stay within 1.645 standard errors of their forecast about 9 times in 10', () => {
    for (const withEvening of [true, false]) {
      const nights = tried(withEvening);
      const within = nights.filter(({ errors }) => errors <= 1.645).length / nights.length;
      expect(within).toBeGreaterThan(0.8);
      expect(within).toBeLessThan(0.99);
    }
  });
});
