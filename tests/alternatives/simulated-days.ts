import type { ProofDay } from '../../src/alternatives/index.ts';
import { DAY, type LocalDate, milliwattHours } from '../../src/units/index.ts';

export interface SimulatedPeriod {
  readonly from: string;
  readonly days: number;
  /** Mean temperature of the nth day, °C. */
  readonly meanC: (day: number) => number;
  /** Energy of a day of this mean temperature, kWh. */
  readonly kwh: (meanC: number, day: number) => number;
}

export function simulatedDays({ from, days, meanC, kwh }: SimulatedPeriod): ProofDay[] {
  return Array.from({ length: days }, (_, day) => {
    const mean = meanC(day);
    return {
      date: new Date(Date.parse(from) + day * DAY).toISOString().slice(0, 10) as LocalDate,
      energy: milliwattHours(kwh(mean, day) * 1e6),
      meanC: mean,
      known: 1,
    };
  });
}

/** A fish room's air: a slow swing, and a wobble from day to day that repeats nothing quickly. */
export const wobbly =
  (mean: number, swing: number) =>
  (day: number): number =>
    mean + swing * Math.sin(day / 9) + (((day * 7919) % 101) / 101 - 0.5) * 2;

/** Evenly spread in 0–1, the same for a seed (mulberry32, public domain). */
export function chance(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

/** Normal errors of standard deviation 1 that follow each other with the given correlation. */
export function followingErrors(random: () => number, correlation: number): () => number {
  const normal = (): number =>
    Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
  let last = normal();
  return () => {
    last = correlation * last + Math.sqrt(1 - correlation ** 2) * normal();
    return last;
  };
}
