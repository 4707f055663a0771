import { describe, expect, it } from 'vitest';
import { Group } from '../../src/app/group.ts';
import type { Posting } from '../../src/metering/index.ts';
import type { ClimateSlot, Refusal } from '../../src/readings/index.ts';
import { later, type Millis, type MilliwattHours, SLOT, slotOf } from '../../src/units/index.ts';
import { NOON } from './loft.ts';

const measured = (minute: number, value: number, more: Partial<ClimateSlot> = {}): ClimateSlot => ({
  slot: slotOf(later(NOON, minute * 60_000)),
  probe: 'tub-water',
  measure: 'temperature',
  count: 1,
  sum: value,
  min: value,
  max: value,
  ...more,
});

const refusal = (source: string | undefined, found: string): Refusal => ({
  reason: 'not-a-number',
  topic: 'loft/one',
  feed: 'all',
  measure: 'power',
  source: source === undefined ? undefined : { from: 'plug', id: source },
  found,
  at: NOON,
});

describe('what waits for a commit', () => {
  it('has the last state of a key, whatever came before', () => {
    const group = new Group();
    group.save('metering', 'one', { n: 1 });
    group.save('watches', 'one', { n: 2 });
    group.save('metering', 'one', { n: 3 });
    group.save('metering', 'two', { n: 4 });
    group.save('metering', 'two', null);
    expect(group.batch().states).toEqual([
      { room: 'metering', key: 'one', state: { n: 3 } },
      { room: 'watches', key: 'one', state: { n: 2 } },
      { room: 'metering', key: 'two', state: null },
    ]);
  });

  it('counts what is refused for the same reason of the same source, with the last example', () => {
    const group = new Group();
    for (const found of ['a', 'b', 'c']) group.refuse(refusal('one', found));
    group.refuse(refusal('two', 'd'));
    group.refuse(refusal(undefined, 'e'));
    expect(
      group.batch().refusals.map(({ source, count, found }) => [source?.id, count, found]),
    ).toEqual([
      ['one', 3, 'c'],
      ['two', 1, 'd'],
      [undefined, 1, 'e'],
    ]);
  });

  it('folds the climate of one slot when it is compacted: counts and sums add, extremes widen', () => {
    const group = new Group();
    const rows = Array.from({ length: 900 }, (_, n) => measured(n / 60, 24 + (n % 5) / 10));
    group.observe(rows);
    group.observe([measured(16, 30), measured(3, 60, { measure: 'humidity', probe: 'loft-air' })]);
    group.compact();
    const [first, next, air, ...more] = group.batch().climate;
    expect(more).toEqual([]);
    expect(first).toMatchObject({ count: 900, min: 24, max: 24.4 });
    expect(first?.sum).toBeCloseTo(900 * 24.2, 6);
    expect(next).toEqual(measured(16, 30));
    expect(air).toEqual(measured(3, 60, { measure: 'humidity', probe: 'loft-air' }));
  });

  it('finds its place among years of slots as fast as among a few', () => {
    const group = new Group();
    const slots = 5 * 365 * 96;
    const posting = (index: number): Posting => ({
      slot: later(slotOf(NOON), -index * SLOT),
      known: index % 2 === 0 ? 'reckoned' : 'counted',
      energy: index as MilliwattHours,
      spread: 0 as MilliwattHours,
      covered: SLOT,
      drawing: 0 as Millis,
    });
    const started = performance.now();
    for (let round = 0; round < 2; round += 1) {
      for (let index = 0; index < slots; index += 1) group.post('filter', posting(index));
    }
    // Looked for one by one, they would take minutes.
    expect(performance.now() - started).toBeLessThan(5_000);
    const { postings } = group.batch();
    expect(postings).toHaveLength(slots);
    expect(group.size).toBe(slots);
    expect(postings.every(({ energy }, index) => energy === 2 * index)).toBe(true);
  });
});
