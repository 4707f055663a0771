import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BURST, courtesy, PAUSE } from '../../src/storage/courtesy.ts';
import { runs } from '../units/runs.ts';

const lengths = fc.array(
  fc.record({ work: fc.integer({ min: 1, max: 900 }), idle: fc.integer({ min: 0, max: 150 }) }),
  { minLength: 1, maxLength: 60 },
);

describe('a command that writes without end', () => {
  it('lets others in after a burst, and pauses no more than it must', () => {
    fc.assert(
      fc.property(lengths, (steps) => {
        let now = 0;
        let pauses = 0;
        const { before, after } = courtesy({
          now: () => now,
          pause(length) {
            pauses += 1;
            now += length;
          },
        });
        let lastGap = 0;
        let ended = Number.NEGATIVE_INFINITY;
        for (const { work, idle } of steps) {
          before();
          if (now - ended >= PAUSE) lastGap = now;
          // Whoever waits since the last gap has waited for a burst and this transaction at most.
          expect(now - lastGap).toBeLessThanOrEqual(BURST);
          now += work;
          after();
          ended = now;
          now += idle;
        }
        const busy = steps.reduce((sum, { work, idle }) => sum + work + idle, 0);
        expect(pauses).toBeLessThanOrEqual(busy / BURST);
      }),
      runs(500),
    );
  });
});
