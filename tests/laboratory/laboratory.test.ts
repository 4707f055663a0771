import { describe, expect, it } from 'vitest';
import type { Fault } from '../../src/simulator/index.ts';
import { HOUR, type Instant, MINUTE } from '../../src/units/index.ts';
import { START } from './laboratory.ts';
import { playSeed } from './one-seed.ts';

/** A day after the start, at noon in the house. */
const SECOND_NOON = (START + 36 * HOUR) as Instant;

describe('the laboratory, played', () => {
  it('finds what breaks in a small house, and calls nothing false', { timeout: 60_000 }, () => {
    const { cases, falseAlerts, tankDays } = playSeed({
      seed: 3,
      days: 12,
      rooms: ['study'],
      kinds: ['stuck-on', 'dead-heater', 'silent-probe', 'light-stays-on'],
      calmFirst: 5,
      calm: [1, 2],
      habits: { feedingPauses: false },
    });
    expect(tankDays).toBe(36);
    expect(cases.filter(({ outcome }) => outcome === 'found').length).toBeGreaterThanOrEqual(3);
    expect(cases.filter(({ outcome }) => outcome === 'missed' || outcome === 'late')).toEqual([]);
    expect(falseAlerts).toEqual([]);
  });

  it('calls an alert false that no fault it knows of explains', { timeout: 60_000 }, () => {
    const secret: Fault = { kind: 'light-stays-off', device: 'reef-light', from: SECOND_NOON };
    const { falseAlerts } = playSeed({
      seed: 3,
      days: 2,
      rooms: ['study'],
      kinds: [],
      habits: { feedingPauses: false },
      secret: [secret],
    });
    expect(falseAlerts).toMatchObject([
      { watch: 'light-off-plan', subject: 'device/reef-light', truth: { watts: 0 } },
    ]);
    expect((falseAlerts[0]?.at ?? 0) - SECOND_NOON).toBeGreaterThanOrEqual(30 * MINUTE);
  });

  it('counts a fault as missed that showed and that nobody told', { timeout: 60_000 }, () => {
    const { cases } = playSeed({
      seed: 3,
      days: 5,
      rooms: ['study'],
      kinds: ['silent-probe'],
      calmFirst: 1,
      calm: [0.5, 1],
      deafTo: ['probe-silent'],
    });
    expect(cases.length).toBeGreaterThanOrEqual(1);
    expect(new Set(cases.map(({ outcome }) => outcome))).toEqual(new Set(['missed']));
  });
});
