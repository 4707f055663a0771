import { describe, expect, it } from 'vitest';
import {
  type ProofDay,
  type Proven,
  prove,
  type WeatherChoice,
} from '../../src/alternatives/index.ts';
import { chance, followingErrors, simulatedDays, wobbly } from './simulated-days.ts';

const wave = (low: number, high: number) => (day: number) =>
  low + ((high - low) * ((day * 37) % 120)) / 119;
const period = (from: string, days: number, kwh: (meanC: number) => number): ProofDay[] =>
  simulatedDays({ from, days, meanC: wave(8, 30), kwh });
const verdictOn = (kwh: (meanC: number) => number, weather: WeatherChoice) =>
  prove({
    baseline: period('2025-01-01', 120, kwh),
    reporting: period('2025-06-01', 60, kwh),
    options: { weather },
  });

function modelOf(kwh: (meanC: number) => number, weather: WeatherChoice): Proven['model'] {
  const proof = verdictOn(kwh, weather);
  if (proof.verdict === 'not-yet') throw new Error(JSON.stringify(proof.shortfalls));
  return proof.model;
}

describe('a searched balance point', () => {
  it('is found to half a kelvin, for heating and for cooling', () => {
    const kwh = (meanC: number) =>
      1 + 0.5 * Math.max(16.5 - meanC, 0) + 0.3 * Math.max(meanC - 22.5, 0);
    const { heating, cooling } = modelOf(kwh, { heating: 'searched', cooling: 'searched' });
    expect(heating).toMatchObject({ balanceC: 16.5, searched: true });
    expect(heating?.perDegreeDay.value).toBeCloseTo(0.5e6, -1);
    expect(cooling).toMatchObject({ balanceC: 22.5, searched: true });
    expect(cooling?.perDegreeDay.value).toBeCloseTo(0.3e6, -1);
  });

  it('never lets heating and cooling run at once, even if that would fit better', () => {
    const fighting = (meanC: number) =>
      1 + 1.0 * Math.max(24 - meanC, 0) + 0.4 * Math.max(meanC - 14, 0);
    const { heating, cooling } = modelOf(fighting, { heating: 'searched', cooling: 'searched' });
    expect(heating?.balanceC).toBeLessThanOrEqual(cooling?.balanceC ?? 0);
  });

  it('looks for heating that rises in the cold, though what rises in the heat would fit better', () => {
    const unaskedCooling = (meanC: number) =>
      1 + 3 * Math.max(11 - meanC, 0) + 0.8 * Math.max(meanC - 18, 0);
    const { heating } = modelOf(unaskedCooling, { heating: 'searched' });
    expect(heating?.perDegreeDay.value).toBeGreaterThan(0);
  });
});

describe('an answer to the weather', () => {
  it('is not taken from nine cold days, but from ten', () => {
    const withCold = (cold: number) =>
      prove({
        baseline: simulatedDays({
          from: '2025-01-01',
          days: 60,
          meanC: (day) => (day < cold ? 10 - (day % 3) : 20),
          kwh: (meanC) => 1 + Math.max(15 - meanC, 0),
        }),
        reporting: period('2025-06-01', 60, () => 1),
        options: { weather: { heating: 15 } },
      }).verdict;
    expect(withCold(9)).toBe('not-yet');
    expect(withCold(10)).not.toBe('not-yet');
  });

  it('is not seen in chance: gear that heeds no weather passes for heating in one of twenty', () => {
    const random = chance(8);
    const trials = 400;
    let seen = 0;
    for (let trial = 0; trial < trials; trial++) {
      const error = followingErrors(random, 0);
      const deaf = (from: string) =>
        simulatedDays({ from, days: 60, meanC: wobbly(18, 3), kwh: () => 5 + error() });
      const proof = prove({
        baseline: deaf('2025-01-01'),
        reporting: deaf('2025-06-01'),
        options: { weather: { heating: 25 } },
      });
      if (proof.verdict !== 'not-yet') seen += 1;
    }
    expect(seen / trials).toBeGreaterThan(0.02);
    expect(seen / trials).toBeLessThan(0.09);
  });
});

describe('weather beyond the baseline, with cooling alone', () => {
  const kwh = (meanC: number) => 1 + 0.5 * Math.max(meanC - 20, 0);
  const doubts = (from: number, to: number) => {
    const proof = prove({
      baseline: simulatedDays({ from: '2025-01-01', days: 60, meanC: wave(from, to), kwh }),
      reporting: simulatedDays({ from: '2025-06-01', days: 60, meanC: wave(16, 33), kwh }),
      options: { weather: { cooling: 20 } },
    });
    return proof.verdict === 'not-yet' ? [proof.verdict] : proof.doubts.map(({ kind }) => kind);
  };

  it('matters in the cold only where the baseline never saw the end of cooling', () => {
    expect(doubts(18, 34)).toEqual([]);
    expect(doubts(22, 34)).toEqual(['colder-than-baseline']);
  });

  it('matters in the heat', () => {
    expect(doubts(18, 30)).toEqual(['warmer-than-baseline']);
  });
});
