import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  beginMeter,
  draftOf,
  type MeterChange,
  type MeterSpec,
  meter,
  meterInPlace,
} from '../../src/metering/index.ts';
import type { Reading } from '../../src/readings/index.ts';
import { Calendar, HOUR, MINUTE, SECOND } from '../../src/units/index.ts';
import { reading, spec } from './scenario.ts';

const START = Date.UTC(2025, 2, 3);

/** Readings of a plug that draws, rests, falls silent, leaves, resets, glitches and comes late. */
const story = fc
  .array(
    fc.record({
      wait: fc.oneof(
        { weight: 6, arbitrary: fc.integer({ min: 0, max: 90 * SECOND }) },
        { weight: 1, arbitrary: fc.integer({ min: -5 * MINUTE, max: 5 * HOUR }) },
      ),
      measure: fc.constantFrom('power' as const, 'counter' as const, 'presence' as const),
      power: fc.constantFrom(0, 3, 60.5, 1900),
      rise: fc.oneof(
        { weight: 8, arbitrary: fc.constantFrom(0, 0, 1, 7) },
        { weight: 1, arbitrary: fc.constantFrom(-500, -3, 90_000) },
      ),
      retained: fc.boolean(),
      register: fc.constantFrom('a', 'b'),
    }),
    { minLength: 5, maxLength: 80 },
  )
  .map((steps) => {
    let at = START;
    let wh = 800;
    return steps.map(({ wait, measure, power, rise, retained, register }): Reading => {
      at += wait;
      wh = Math.max(0, wh + rise);
      const value = measure === 'power' ? power : measure === 'counter' ? wh : power > 0 ? 1 : 0;
      return { ...reading(measure, value, at, { register }), retained: retained && wait === 0 };
    });
  });

const KINDS: readonly Partial<MeterSpec>[] = [
  {},
  { counterRestarts: 'at-midnight', calendar: new Calendar('America/Winnipeg') },
  { bidirectional: true, signed: true },
  {
    registers: new Map([
      ['a', 1 as const],
      ['b', -1 as const],
    ]),
    signed: true,
  },
];

const alone = ({ register: _, ...rest }: Reading): Reading => rest;

describe('a meter whose owner lets its state change', () => {
  it('books, notes and remembers step for step what one does that makes a new state each time', () => {
    fc.assert(
      fc.property(
        story,
        fc.constantFrom('interval' as const, 'on-change' as const),
        fc.constantFrom(...KINDS),
        (story, reporting, kind) => {
          const how = spec({ reporting, ...kind });
          const readings = how.registers === undefined ? story.map(alone) : story;
          let state = beginMeter();
          const draft = draftOf(state);
          const anew: MeterChange[] = [];
          const inPlace: MeterChange[] = [];
          for (const next of readings) {
            const step = meter(how, state, next);
            anew.push({
              moved: step.state !== state,
              postings: step.postings,
              notes: step.notes,
            });
            inPlace.push(meterInPlace(how, draft, next));
            state = step.state;
            expect(draft).toEqual(state);
          }
          // Only now: nothing that was booked may change with the state afterwards.
          expect(inPlace).toEqual(anew);
        },
      ),
      { numRuns: 1_000 },
    );
  });
});
