import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { DAY, type Instant, instant, MINUTE, SECOND } from '../../../src/units/index.ts';
import { forgetAir, lookAtAirStopped } from '../../../src/watches/air-stopped.ts';
import { watchesConfig } from '../../../src/watches/config.ts';
import { forgetPump, lookAtPumpStopped } from '../../../src/watches/pump-stopped.ts';
import { learnPower, type UsualPower, unlearnedPower } from '../../../src/watches/usual-power.ts';
import { runs } from '../../units/runs.ts';
import { noise } from './script.ts';

const START = instant(Date.UTC(2026, 0, 5));
/** A bin is one percent wide. */
const BIN = 0.00501;

function learned(
  days: number,
  step: number,
  powerAt: (at: Instant) => number,
  least = 0,
): UsualPower {
  let usual = unlearnedPower;
  for (let passed = 0; passed < days * DAY; passed += step) {
    const at = instant(START + passed);
    usual = learnPower(usual, powerAt(at), at, least);
  }
  return usual;
}

function exactMedian(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[sorted.length >> 1] as number;
}

/** A published trace as watts by time of day, repeated day after day. */
function trace(file: string): (at: Instant) => number {
  const folder = new URL('../../reference/power/', import.meta.url);
  const powers = new Array<number>(8640).fill(Number.NaN);
  for (const line of readFileSync(new URL(file, folder), 'utf8').split('\n')) {
    const match = /^\S+ (\d\d):(\d\d):(\d\d);(\d+);/.exec(line);
    if (match === null) continue;
    const [hours = 0, minutes = 0, seconds = 0, watts = 0] = match.slice(1).map(Number);
    powers[Math.floor((hours * 3600 + minutes * 60 + seconds) / 10)] = watts;
  }
  let last = powers.find((power) => !Number.isNaN(power)) ?? 0;
  for (let i = 0; i < powers.length; i += 1) {
    last = Number.isNaN(powers[i]) ? last : (powers[i] as number);
    powers[i] = last;
  }
  return (at) => powers[Math.floor((at % DAY) / (10 * SECOND))] as number;
}

describe('the usual power of a device', () => {
  it('is within two percent of the exact median, whatever the level and the noise', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 2000, noNaN: true }),
        fc.double({ min: 0, max: 0.1, noNaN: true }),
        fc.integer({ min: 1, max: 1e6 }),
        (level, wide, seed) => {
          const random = noise(seed);
          const all: number[] = [];
          const usual = learned(8, 5 * MINUTE, () => {
            const power = level * (1 + (wide * (random() + random() + random())) / 3);
            all.push(power);
            return power;
          });
          const median = usual.levels.all?.median ?? Number.NaN;
          expect(Math.abs(median / exactMedian(all) - 1)).toBeLessThan(0.02);
        },
      ),
      runs(20),
    );
  });

  it('is exact to half a percent where the power does not move', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.5, max: 5000, noNaN: true }), (power) => {
        const usual = learned(1, 5 * MINUTE, () => power);
        expect(Math.abs((usual.levels.all?.median ?? Number.NaN) / power - 1)).toBeLessThan(BIN);
      }),
      runs(30),
    );
  });

  // tracebase, see tests/reference/power/SOURCE.md. One day, eight times over. The freezer
  // runs a seventh of it: a hundred samples, and their median is as good as that.
  it.each([
    ['a pump', 'tracebase_solarthermal_pump_5525DD_2012-01-25_10s.csv', 20],
    ['a fountain', 'tracebase_waterfountain_998C63_2011-09-09_10s.csv', 2],
    ['a freezer', 'tracebase_freezer_devD36601_2011-12-17_10s.csv', 50],
  ])('of %s, measured, is its running median of every ten seconds', (_, file, on) => {
    const powerAt = trace(file);
    const median = learned(8, 10 * SECOND, powerAt, on).levels.all?.median ?? Number.NaN;
    const running: number[] = [];
    for (let at = 0; at < DAY; at += 10 * SECOND) {
      const power = powerAt(instant(START + at));
      if (power >= on) running.push(power);
    }
    expect(running.length).toBeGreaterThan(1000);
    expect(Math.abs(median / exactMedian(running) - 1)).toBeLessThan(0.03);
  });

  it('does not move for spikes, nor for standing still', () => {
    const random = noise(5);
    const powerAt = () => {
      const chance = random();
      return chance > 0.9 ? 3000 : chance < -0.6 ? 0.6 : 12;
    };
    const usual = learned(8, MINUTE, powerAt, 1);
    expect(Math.abs((usual.levels.all?.median ?? 0) / 12 - 1)).toBeLessThan(BIN);
  });

  it('sees every phase of a rhythm of a quarter of an hour', () => {
    const usual = learned(8, 10 * SECOND, (at) => (at % (15 * MINUTE) < 6 * MINUTE ? 20 : 10));
    const spread = usual.levels.all;
    expect(spread?.median).toBeCloseTo(10, 0);
    expect(spread?.high).toBeCloseTo(20, 0);
    const part = (usual.slices.flatMap(({ bins }) => bins).length / 2) * 0.5;
    expect(part).toBe(usual.slices.length);
  });

  it('takes a week from the day before, and the last day apart', () => {
    const usual = learned(9, 5 * MINUTE, (at) => (at < START + 8 * DAY ? 12 : 15));
    expect(usual.levels.before?.median).toBeCloseTo(12, 0);
    expect(usual.levels.lately?.median).toBeCloseTo(15, 0);
  });

  it('keeps no more after a month than after eight days', () => {
    const random = noise(9);
    const powerAt = () => 12 * (1 + 0.05 * random());
    const week = learned(8, 5 * MINUTE, powerAt);
    const month = learned(31, 5 * MINUTE, powerAt);
    expect(JSON.stringify(month).length).toBeLessThan(1.1 * JSON.stringify(week).length);
    expect(JSON.stringify(month).length).toBeLessThan(6000);
  });

  it('goes on through JSON as if nothing had been', () => {
    const random = noise(2);
    const half = learned(2, 5 * MINUTE, () => 12 * (1 + 0.05 * random()));
    const restored = JSON.parse(JSON.stringify(half)) as UsualPower;
    const at = instant(START + 2 * DAY + 14.9 * MINUTE);
    const next = learnPower(restored, 13, at, 0.2);
    expect(next).toEqual(learnPower(half, 13, at, 0.2));
    expect(next).not.toBe(restored);
  });

  it('says since when it learns, and is forgotten when the gear was replaced', () => {
    const usual = learned(2, 5 * MINUTE, () => 12);
    expect((usual.since ?? 0) - START).toBeLessThan(15 * MINUTE);
    const config = watchesConfig.parse({});
    const at = instant(START + 2 * DAY);
    const gear = {
      voice: 'speaks' as const,
      power: 1,
      powerAt: at,
      nameplate: 15,
      onByPlan: undefined,
    };
    const pump = { ...lookAtPumpStopped(undefined, { config, gear, anotherRuns: true }, at).state };
    const knowing = lookAtPumpStopped({ ...pump, usual }, { config, gear, anotherRuns: true }, at);
    expect(knowing.finding.reason).toBe('draws-nothing');
    const forgotten = forgetPump(knowing.state);
    const after = lookAtPumpStopped(forgotten, { config, gear, anotherRuns: true }, at);
    expect(after.finding).toMatchObject({ verdict: 'unknown', reason: 'not-learned' });

    const air = lookAtAirStopped(undefined, { config, gear }, at).state;
    const less = lookAtAirStopped({ ...air, usual }, { config, gear: { ...gear, power: 6 } }, at);
    expect(less.finding.reason).toBe('draws-less');
    const anew = lookAtAirStopped(forgetAir(), { config, gear: { ...gear, power: 6 } }, at);
    expect(anew.state.usual.since ?? at).toBe(at);
    expect(anew.finding.evidence.some(({ what }) => what === 'usual-power')).toBe(false);
  });

  it('is the same object where there is nothing to learn', () => {
    const usual = learned(1, 5 * MINUTE, () => 12);
    const at = instant(START + DAY + 14.9 * MINUTE);
    expect(learnPower(usual, 0, at, 0.2)).toBe(usual);
    expect(learnPower(usual, Number.NaN, at, 0.2)).toBe(usual);
    const next = learnPower(usual, 12, at, 0.2);
    expect(next).not.toBe(usual);
    expect(learnPower(next, 12, instant(at + SECOND), 0.2)).toBe(next);
  });
});
