import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Group } from '../../src/app/group.ts';
import type { DevicePosting } from '../../src/books/index.ts';
import type { Known, Posting } from '../../src/metering/index.ts';
import { instant, type Millis, type MilliwattHours, SLOT } from '../../src/units/index.ts';

const posting = (slot: number, known: Known, energy: number): Posting => ({
  slot: instant(slot * SLOT),
  known,
  energy: energy as MilliwattHours,
  spread: (energy % 7) as MilliwattHours,
  covered: (1000 * energy) as Millis,
  drawing: (10 * energy) as Millis,
});

/** Sums by device, slot and way of knowing. */
function sumsOf(postings: Iterable<DevicePosting>): Map<string, number[]> {
  const sums = new Map<string, number[]>();
  for (const { device, slot, known, energy, spread, covered, drawing } of postings) {
    const key = `${device} ${slot} ${known}`;
    const before = sums.get(key) ?? [0, 0, 0, 0];
    const more = [energy, spread, covered, drawing];
    sums.set(
      key,
      before.map((sum, index) => sum + (more[index] as number)),
    );
  }
  return sums;
}

describe('a group', () => {
  it('holds one row an entry, with the sums of all that was posted to it', () => {
    const postings = fc.array(
      fc.record({
        device: fc.constantFrom('heater', 'lamp', 'pump'),
        slot: fc.integer({ min: 0, max: 5 }),
        known: fc.constantFrom<Known>('counted', 'integrated', 'bridged', 'reckoned'),
        energy: fc.integer({ min: -1e9, max: 1e9 }),
      }),
    );
    fc.assert(
      fc.property(postings, (posted) => {
        const group = new Group();
        const all = posted.map(({ device, slot, known, energy }) => ({
          device,
          ...posting(slot, known, energy),
        }));
        for (const { device, ...rest } of all) group.post(device, rest);
        const batch = group.batch().postings;
        expect(sumsOf(batch)).toEqual(sumsOf(all));
        expect(batch).toHaveLength(sumsOf(all).size);
        expect(group.size).toBe(batch.length);
        expect(group.slots()).toEqual(new Set(all.map(({ slot }) => slot)));
      }),
    );
  });

  it('keeps nothing of the postings that it was given', () => {
    const group = new Group();
    const first = posting(1, 'counted', 5);
    group.post('heater', first);
    group.post('heater', posting(1, 'counted', 6));
    expect(first).toEqual(posting(1, 'counted', 5));
  });

  it('is the same batch until it is cleared, as a disk may refuse it the first time', () => {
    const group = new Group();
    group.post('heater', posting(1, 'counted', 5));
    group.save('metering', 'plug', { at: 1 });
    group.note({ event: 'baseline', plug: 'plug', at: instant(0), before: undefined, found: 1 });
    expect(group.batch()).toEqual(group.batch());
    expect(group.empty).toBe(false);
    group.clear();
    expect(group.empty).toBe(true);
    expect(group.batch().postings).toEqual([]);
  });

  it('does not grow with the hours for which a disk takes nothing', () => {
    const group = new Group();
    for (let round = 0; round < 5_000; round += 1) {
      group.post('heater', posting(1, 'integrated', 3));
      group.note({ event: 'duplicate', plug: 'plug', at: instant(round), before: 1, found: 1 });
    }
    group.compact(100);
    expect(group.batch().postings).toEqual([
      {
        device: 'heater',
        ...posting(1, 'integrated', 0),
        energy: 15_000,
        spread: 15_000,
        covered: 15_000_000,
        drawing: 150_000,
      },
    ]);
    expect(group.batch().notes.map(({ at }) => at)).toEqual(
      Array.from({ length: 100 }, (_, index) => 4_900 + index),
    );
  });
});
