import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cutWindows, type HeatWindow, type TankSlot } from '../../src/heat/index.ts';
import { HOUR, type Instant, SLOT } from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import { simulateTank } from './simulated-tank.ts';

/** Slots of steady water, one for each change. */
const slots = (n: number, change: (place: number) => Partial<TankSlot> = () => ({})): TankSlot[] =>
  Array.from({ length: n }, (_, place) => ({
    slot: (place * SLOT) as Instant,
    tankC: 25,
    roomC: 20,
    heaterW: 40,
    otherW: 6,
    doubtful: false,
    disturbed: false,
    ...change(place),
  }));

const hoursOf = (all: readonly TankSlot[]) =>
  cutWindows(all).reduce((sum, { from, to }) => sum + (to - from) / HOUR, 0);

describe('windows of steady water', () => {
  it('tell means, and how much warmer the water became', () => {
    const rising = slots(14, (place) => ({
      tankC: 25 + place * 0.02,
      heaterW: place % 2 ? 80 : 0,
    }));
    const [window, ...more] = cutWindows(rising);
    expect(more).toEqual([]);
    expect(window).toMatchObject({
      from: SLOT,
      to: 13 * SLOT,
      meanRoomC: 20,
      heaterW: 40,
      otherW: 6,
    });
    expect(window?.meanTankC).toBeCloseTo(25 + 0.02 * 6.5, 9);
    expect(window?.changeK).toBeCloseTo(0.24, 9);
  });

  it('are not there within less than three hours, or while the water warms', () => {
    expect(cutWindows(slots(13))).toEqual([]);
    expect(cutWindows(slots(96, (place) => ({ tankC: 25 + place * 0.03 })))).toEqual([]);
  });

  it('do not reach across a hole, a silent probe or a doubtful entry', () => {
    expect(hoursOf(slots(28))).toBeGreaterThan(5);
    for (const spoiled of [{ tankC: undefined }, { roomC: undefined }, { doubtful: true }]) {
      const all = slots(28, (place) => (place === 13 ? spoiled : {}));
      const windows = cutWindows(all);
      expect(windows).toHaveLength(1);
      expect(windows[0]?.from).toBeGreaterThan(13 * SLOT);
    }
    expect(cutWindows(slots(26).filter(({ slot }) => slot !== 12 * SLOT))).toEqual([]);
  });

  it('begin two hours after a keeper was at work, at the earliest', () => {
    const tended = slots(48, (place) => ({ disturbed: place === 4 || place === 5 }));
    expect(cutWindows(tended)[0]?.from).toBeGreaterThanOrEqual((6 + 8) * SLOT);
  });

  it('leave out a water change that nobody told of', () => {
    // 2 K colder at once, and back at the old temperature four hours later.
    const cooled = slots(60, (place) => ({
      tankC: place < 30 ? 25 : Math.min(25, 23 + (place - 30) * 0.125),
    }));
    const windows = cutWindows(cooled);
    expect(windows.length).toBeGreaterThan(0);
    for (const { from, to } of windows) {
      expect(to <= 30 * SLOT || from >= 36 * SLOT).toBe(true);
    }
  });

  it('go on where those of the day before ended, when cut day by day', () => {
    fc.assert(
      fc.property(fc.nat(1_000_000), (seed) => {
        const all = simulateTank({ seed, days: 4 }).slots;
        const daily: HeatWindow[] = [];
        for (let day = 1; day <= 4; day += 1) {
          const after = daily.at(-1)?.to ?? (0 as Instant);
          const seen = all.slice(0, day * 96).filter(({ slot }) => slot >= after - 3 * HOUR);
          const more = cutWindows(seen, after);
          expect(more.every(({ from }) => from >= after)).toBe(true);
          daily.push(...more);
        }
        const hours = (windows: readonly HeatWindow[]) =>
          windows.reduce((sum, { from, to }) => sum + (to - from) / HOUR, 0);
        expect(hours(daily)).toBeGreaterThan(0.85 * hours(cutWindows(all)));
      }),
      runs(50),
    );
  });

  it('are steady, in order, apart and within what they were cut from, for any tank', () => {
    fc.assert(
      fc.property(fc.nat(1_000_000), fc.nat(95), (seed, hole) => {
        const all = simulateTank({ seed, days: 4, change: 2 }).slots.filter(
          (_, i) => i % 96 !== hole,
        );
        let last = 0;
        for (const { from, to, changeK } of cutWindows(all)) {
          expect(from).toBeGreaterThanOrEqual(last);
          expect(to - from).toBeGreaterThanOrEqual(3 * HOUR);
          expect(to - from).toBeLessThanOrEqual(6 * HOUR);
          expect(Math.abs(changeK)).toBeLessThanOrEqual(0.3);
          const within = all.filter(({ slot }) => slot >= from && slot < to);
          expect(within).toHaveLength((to - from) / SLOT);
          last = to;
        }
      }),
      runs(100),
    );
  });
});
