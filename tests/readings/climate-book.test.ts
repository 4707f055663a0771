import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type ClimateSlot, createClimateBook, type Reading } from '../../src/readings/index.ts';
import { instant, SLOT, slotOf } from '../../src/units/index.ts';

const NOON = Date.UTC(2026, 0, 14, 12);

const reading = (id: string, value: number, seconds: number, over: Partial<Reading> = {}) => {
  const at = instant(NOON + seconds * 1000);
  return {
    from: 'probe',
    id,
    measure: 'temperature',
    value,
    at,
    arrived: at,
    retained: false,
    ...over,
  } as Reading;
};

/** As the store merges increments. */
function merge(rows: readonly ClimateSlot[]): Map<string, ClimateSlot> {
  const merged = new Map<string, ClimateSlot>();
  for (const row of rows) {
    const key = `${row.probe} ${row.measure} ${row.slot}`;
    const old = merged.get(key);
    merged.set(key, {
      ...row,
      count: row.count + (old?.count ?? 0),
      sum: row.sum + (old?.sum ?? 0),
      min: Math.min(row.min, old?.min ?? Infinity),
      max: Math.max(row.max, old?.max ?? -Infinity),
    });
  }
  return merged;
}

describe('the climate book', () => {
  it('sums up each probe, measure and slot', () => {
    const book = createClimateBook();
    book.add(reading('discus', 28, 0));
    book.add(reading('discus', 29, 60));
    book.add(reading('discus', 28.5, 900));
    book.add(reading('cellar', 61, 0, { measure: 'humidity' }));
    const row = { probe: 'discus', measure: 'temperature' };
    expect(book.drain()).toEqual([
      { ...row, slot: NOON, count: 2, sum: 57, min: 28, max: 29 },
      { ...row, slot: NOON + SLOT, count: 1, sum: 28.5, min: 28.5, max: 28.5 },
      { probe: 'cellar', measure: 'humidity', slot: NOON, count: 1, sum: 61, min: 61, max: 61 },
    ]);
    expect(book.drain()).toEqual([]);
  });

  it('drops what comes twice and what comes late, also after a drain, and counts both', () => {
    const book = createClimateBook();
    expect(book.add(reading('discus', 28, 60))).toBe('taken');
    book.drain();
    expect(book.add(reading('discus', 28, 60))).toBe('duplicate');
    expect(book.add(reading('discus', 27, 59))).toBe('out-of-order');
    expect(book.add(reading('discus', 28.1, 60))).toBe('taken');
    expect(book.add(reading('discus', 300, 61, { measure: 'power' }))).toBe('not-climate');
    expect(book.add(reading('guppy', 24, 0))).toBe('taken');
    expect(book.counts()).toEqual({
      taken: 3,
      duplicate: 1,
      'out-of-order': 1,
      'not-climate': 1,
    });
  });

  it('gives the same sums wherever it is drained', () => {
    const readings = fc.array(
      fc.record({
        id: fc.constantFrom('a', 'b'),
        value: fc.integer({ min: -20, max: 40 }),
        step: fc.integer({ min: -30, max: 700 }),
        drain: fc.boolean(),
      }),
    );
    fc.assert(
      fc.property(readings, (steps) => {
        const once = createClimateBook();
        const often = createClimateBook();
        const rows: ClimateSlot[] = [];
        const taken: Reading[] = [];
        let seconds = 0;
        for (const { id, value, step, drain } of steps) {
          seconds += step;
          const next = reading(id, value, seconds);
          if (once.add(next) === 'taken') taken.push(next);
          often.add(next);
          if (drain) rows.push(...often.drain());
        }
        rows.push(...often.drain());
        const merged = merge(rows);
        expect(merged).toEqual(merge(once.drain()));
        for (const [key, slot] of merged) {
          const inside = taken.filter(({ id, at }) => `${id} temperature ${slotOf(at)}` === key);
          const values = inside.map(({ value }) => value);
          expect(slot.count).toBe(values.length);
          expect(slot.sum).toBe(values.reduce((a, b) => a + b, 0));
          expect([slot.min, slot.max]).toEqual([Math.min(...values), Math.max(...values)]);
        }
        const counted = [...merged.values()].reduce((sum, { count }) => sum + count, 0);
        expect(counted).toBe(taken.length);
      }),
    );
  });
});
