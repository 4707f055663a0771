import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Comparison, Entry, HouseInterval } from '../../src/books/index.ts';
import {
  DAY,
  HOUR,
  type Instant,
  later,
  MINUTE,
  type Millis,
  SLOT,
} from '../../src/units/index.ts';
import { period, timeOfUse } from '../tariff/tariffs.ts';
import { runs } from '../units/runs.ts';
import { entry } from './fish-room.ts';
import { interval, reconciled, spanOf } from './household.ts';

describe('whatever the meters say', () => {
  const WEEK = { zone: 'America/Winnipeg', days: ['2026-03-06', '2026-03-10'] } as const;
  const span = spanOf(WEEK);
  const tariffs = {
    lantern: timeOfUse({ day: 0.3, night: 0.1 }, [
      period('day', '06:00', '22:00'),
      period('night', '22:00', '06:00'),
    ]),
  };
  const house: fc.Arbitrary<HouseInterval[]> = fc
    .record({
      before: fc.integer({ min: -2 * DAY, max: DAY }),
      steps: fc.array(
        fc.record({
          pause: fc.oneof(fc.constant(0), fc.integer({ min: 0, max: 9 * HOUR })),
          length: fc.oneof(
            fc.constantFrom<number>(SLOT, HOUR, DAY, 5 * MINUTE),
            fc.integer({ min: 1, max: 3 * DAY }),
          ),
          energy: fc.integer({ min: -5, max: 100_000_000 }),
          quality: fc.constantFrom<HouseInterval['quality']>('valid', 'estimated'),
        }),
        { maxLength: 30 },
      ),
    })
    .map(({ before, steps }) => {
      let from = span.from + before;
      return steps.map(({ pause, length, energy, quality }) => {
        from += pause;
        const start = from as Instant;
        from += length;
        return interval(start, from as Instant, energy / 1000, { quality });
      });
    });
  const entries: fc.Arbitrary<Entry[]> = fc
    .array(
      fc.record({
        slot: fc.nat({ max: (span.to - span.from) / SLOT - 1 }),
        device: fc.constantFrom('heater', 'lamp', 'gone'),
        known: fc.constantFrom<Entry['known']>('counted', 'integrated', 'bridged', 'reckoned'),
        energy: fc.integer({ min: -10, max: 25_000_000 }),
        covered: fc.integer({ min: 0, max: SLOT }),
      }),
      { maxLength: 30 },
    )
    .map((all) =>
      all
        .map(({ slot, device, known, energy, covered }) =>
          entry(later(span.from, slot * SLOT), device, energy, {
            known,
            covered: covered as Millis,
          }),
        )
        .sort((a, b) => a.slot - b.slot),
    );

  const sums = (rows: readonly Comparison[]) => {
    const sum = (of: (row: Comparison) => number) => rows.reduce((all, row) => all + of(row), 0);
    return {
      house: sum((row) => row.house ?? 0),
      fishRoom: sum((row) => row.fishRoom),
      guessed: sum((row) => row.guessed),
      time: sum(({ both }) => both.time),
      bothHouse: sum(({ both }) => both.house),
      bothFishRoom: sum(({ both }) => both.fishRoom),
      rest: sum((row) => row.rest ?? 0),
    };
  };

  test('months, hours and rates each sum to the whole, and it to what was put in', () => {
    fc.assert(
      fc.property(house, entries, (intervals, booked) => {
        const of = reconciled({ ...WEEK, tariffs, house: intervals, entries: booked });
        const whole = sums([of.whole]);
        expect(sums(of.months)).toEqual(whole);
        expect(sums(of.hours)).toEqual(whole);
        expect(sums(of.rates)).toEqual(whole);
        expect(whole.fishRoom).toBe(booked.reduce((sum, { energy }) => sum + energy, 0));
        expect(of.fishRoom.energy).toBe(whole.fishRoom);
        expect(of.rates.reduce((sum, { cost }) => sum + cost, 0)).toBe(of.fishRoom.cost);
        expect(of.months.reduce((sum, { cost }) => sum + cost, 0)).toBe(of.fishRoom.cost);
        const inside = intervals.filter(({ from, to }) => from >= span.from && to <= span.to);
        if (inside.length === intervals.length) {
          expect(whole.house).toBe(inside.reduce((sum, { energy }) => sum + energy, 0));
        }
        expect(of.house?.energy ?? 0).toBe(whole.house);
        expect(of.house?.covered ?? 0).toBeGreaterThanOrEqual(whole.time);
      }),
      runs(100),
    );
  });

  test('spans that meet at a local midnight add up, wherever an interval is cut', () => {
    fc.assert(
      fc.property(house, entries, fc.constantFrom(7, 8, 9), (intervals, booked, cut) => {
        const part = (days: readonly [string, string]) => {
          const { from, to } = spanOf({ ...WEEK, days });
          const within = booked.filter(({ slot }) => slot >= from && slot < to);
          return reconciled({ ...WEEK, days, tariffs, house: intervals, entries: within });
        };
        const two = (day: number) => String(day).padStart(2, '0');
        const first = part(['2026-03-06', `2026-03-${two(cut - 1)}`]);
        const second = part([`2026-03-${two(cut)}`, '2026-03-10']);
        const whole = part(['2026-03-06', '2026-03-10']);
        const { house: both, fishRoom } = sums([first.whole, second.whole]);
        expect([both, fishRoom]).toEqual([whole.whole.house ?? 0, whole.whole.fishRoom]);
        const estimated = (first.house?.estimated ?? 0) + (second.house?.estimated ?? 0);
        expect(estimated).toBe(whole.house?.estimated ?? 0);
      }),
      runs(100),
    );
  });
});
