import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createSystemClock } from '../../src/app/clock.ts';
import { DAY, HOUR, MINUTE } from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';

const NOON = Date.UTC(2026, 4, 5, 12);

/** A machine whose clocks are in the test's hands. */
function machine() {
  const hands = { wall: NOON, ticks: 5_000 };
  const steps: { by: number; before: number; told: number }[] = [];
  const clock = createSystemClock(
    () => hands.wall,
    () => hands.ticks,
  );
  clock.onStep((by, before) => steps.push({ by, before, told: clock.now() }));
  const pass = (ms: number, correction = 0): number => {
    hands.ticks += ms;
    hands.wall += ms + correction;
    return clock.now();
  };
  return { clock, steps, pass };
}

describe('the clock of the machine', () => {
  it('goes with the wall clock while nobody sets it', () => {
    const { clock, steps, pass } = machine();
    expect(clock.now()).toBe(NOON);
    expect(pass(90_000)).toBe(NOON + 90_000);
    expect(clock.monotonic()).toBe(95_000);
    expect(steps).toEqual([]);
  });

  it('tells of a step, its size, and the moment that it came from', () => {
    const { steps, pass } = machine();
    pass(MINUTE);
    expect(pass(1_000, 3 * DAY)).toBe(NOON + MINUTE + 1_000 + 3 * DAY);
    const before = NOON + MINUTE + 1_000;
    expect(steps).toEqual([{ by: 3 * DAY, before, told: before + 3 * DAY }]);
    expect(pass(1_000, -HOUR)).toBe(before + 3 * DAY - HOUR + 1_000);
    expect(steps).toHaveLength(2);
    expect(steps[1]).toMatchObject({ by: -HOUR, before: before + 3 * DAY + 1_000 });
  });

  it('tells every listener', () => {
    const { clock, pass } = machine();
    const told: number[] = [];
    clock.onStep((by) => told.push(by));
    clock.onStep((by) => told.push(-by));
    pass(0, HOUR);
    expect(told).toEqual([HOUR, -HOUR]);
  });

  it('follows small corrections forward, and stands still through those backward', () => {
    const { steps, pass } = machine();
    expect(pass(1_000, 1_500)).toBe(NOON + 2_500);
    expect(pass(500, -1_500)).toBe(NOON + 2_500);
    expect(pass(1_000)).toBe(NOON + 2_500);
    expect(pass(1_000)).toBe(NOON + 3_500);
    expect(steps).toEqual([]);
  });

  it('keeps with a wall clock that is slow for good, without ever taking that for a step', () => {
    const { steps, pass } = machine();
    let now = NOON;
    for (let n = 0; n < 20_000; n += 1) now = pass(1_000, -1);
    expect(steps).toEqual([]);
    expect(now).toBe(NOON + 20_000 * 999);
  });

  it('never runs backward but at a step, however it is corrected', () => {
    const move = fc.record({
      ms: fc.integer({ min: 0, max: 60_000 }),
      correction: fc.oneof(
        fc.integer({ min: -2_000, max: 2_000 }),
        fc.integer({ min: -DAY, max: DAY }),
      ),
    });
    fc.assert(
      fc.property(fc.array(move, { maxLength: 40 }), (moves) => {
        const { clock, steps, pass } = machine();
        let wall = NOON;
        let before: number = clock.now();
        let known = 0;
        for (const { ms, correction } of moves) {
          wall += ms + correction;
          const now = pass(ms, correction);
          expect(steps.length - known).toBe(Math.abs(correction) > 2_000 ? 1 : 0);
          if (steps.length === known) {
            expect(now).toBeGreaterThanOrEqual(before);
            expect(now - wall).toBeLessThanOrEqual(2_000 * moves.length);
            expect(now).toBeGreaterThanOrEqual(wall);
          } else {
            expect(now).toBe(wall);
          }
          known = steps.length;
          before = now;
        }
      }),
      runs(300),
    );
  });
});
