import { describe, expect, it } from 'vitest';
import { DAY, later, MINUTE } from '../../src/units/index.ts';
import { fishRoom, houseOf, run, START } from './houses.ts';

/** A water change takes so much off at most, K. */
const CHANGE = 0.8;

describe('a year of the fish room', () => {
  it('stays within sane bounds, and within what its tanks are kept at', { timeout: 60_000 }, () => {
    const { config, spec } = fishRoom();
    const house = houseOf(spec);
    const extremes = new Map<string, { least: number; most: number }>();
    const note = (key: string, value: number): void => {
      const known = extremes.get(key);
      if (known === undefined) extremes.set(key, { least: value, most: value });
      else if (!(value >= known.least)) known.least = value;
      else if (!(value <= known.most)) known.most = value;
    };
    run(
      house,
      later(START, 365 * DAY),
      () => {
        note('outdoors', house.outdoors);
        for (const [id, air] of house.rooms) note(`room/${id}`, air);
        for (const [id, { temperature }] of house.tanks) note(`tank/${id}`, temperature);
      },
      2 * MINUTE,
    );
    const within = (key: string, least: number, most: number): void => {
      const found = extremes.get(key);
      expect(found?.least, `${key} from ${found?.least}`).toBeGreaterThan(least);
      expect(found?.most, `${key} to ${found?.most}`).toBeLessThan(most);
    };
    within('outdoors', -45, 45);
    within('room/fish-room', 15, 27);
    within('room/study', 17, 26);
    for (const [id, { keep_c }] of Object.entries(config.tanks)) {
      within(`tank/${id}`, keep_c.min - CHANGE, keep_c.max);
    }
    expect(extremes.size).toBe(1 + spec.rooms.length + spec.tanks.length);
  });
});
