import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { byFit, fitOf, isCurrent, position, urgentFirst } from '../../src/web/kept-range.ts';
import { measured, tank } from './views.ts';

const at = (value: number) => tank({ temperature: measured(value), keep: { min: 22, max: 26 } });

describe('how a tank stands to its kept range', () => {
  it('counts both ends as within', () => {
    expect([21.9, 22, 24, 26, 26.1].map((value) => fitOf(at(value)))).toEqual([
      'below',
      'within',
      'within',
      'within',
      'above',
    ]);
  });

  it('judges nothing by an old reading, or by none', () => {
    expect(fitOf(tank({ temperature: measured(99, 0, true) }))).toBe('stale');
    expect(fitOf(tank({ temperature: undefined }))).toBe('unknown');
    expect(fitOf(tank({ temperature: undefined, hasProbe: false }))).toBe('unprobed');
    expect(isCurrent(measured(99, 0, true))).toBe(false);
    expect(isCurrent(undefined)).toBe(false);
    expect(isCurrent(measured(24))).toBe(true);
  });

  it('puts what is out first and leaves the rest in its order', () => {
    const tanks = [24, 21, 23, 27].map((value) => ({ ...at(value), id: `${value}` }));
    expect(urgentFirst(tanks).map(({ id }) => id)).toEqual(['21', '27', '24', '23']);
  });

  it('puts every tank into exactly one group', () => {
    const some = fc.record({
      value: fc.double({ min: -10, max: 60, noNaN: true }),
      heard: fc.boolean(),
      stale: fc.boolean(),
      hasProbe: fc.boolean(),
    });
    fc.assert(
      fc.property(fc.array(some), (states) => {
        const tanks = states.map(({ value, heard, stale, hasProbe }) =>
          tank({ temperature: heard ? measured(value, 0, stale) : undefined, hasProbe }),
        );
        const grouped = [...byFit(tanks).values()].flat();
        expect(new Set(grouped)).toEqual(new Set(tanks));
        expect(grouped).toHaveLength(tanks.length);
      }),
    );
  });

  it('draws a value where it lies, and never outside the drawing', () => {
    expect(position(24, 19, 29)).toBe(0.5);
    expect(position(19, 19, 29)).toBe(0);
    expect(position(-3, 19, 29)).toBe(0);
    expect(position(85, 19, 29)).toBe(1);
  });
});
