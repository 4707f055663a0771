import fc from 'fast-check';
import { expect, it } from 'vitest';
import { PATIENT, waitBefore } from '../../src/mqtt/back-off.ts';

it('doubles the wait up to thirty seconds', () => {
  const longest = [1, 2, 3, 4, 5, 6, 7].map((failures) => waitBefore(PATIENT, failures, 1));
  expect(longest).toEqual([1_000, 2_000, 4_000, 8_000, 16_000, 30_000, 30_000]);
});

it('draws each wait from the upper half of its bound, whatever the number of failures', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 1, max: 1_000_000 }),
      fc.double({ min: 0, max: 1, maxExcluded: true, noNaN: true }),
      (failures, chance) => {
        const bound = waitBefore(PATIENT, failures, 1);
        const wait = waitBefore(PATIENT, failures, chance);
        expect(wait).toBeGreaterThanOrEqual(bound / 2);
        expect(wait).toBeLessThanOrEqual(bound);
        expect(bound).toBeLessThanOrEqual(30_000);
      },
    ),
  );
});
