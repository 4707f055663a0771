import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Share, shareOut, sharesOf, UPKEEP } from '../../src/shares/index.ts';
import { type MicroUnits, type MilliwattHours, microUnits } from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';

describe('whose a device is', () => {
  test('its tank', () => {
    expect(sharesOf({ tank: 'heron-pool' })).toEqual([{ tank: 'heron-pool', weight: 1_000_000 }]);
  });

  test('its shares, in the order they are written, without those of nothing', () => {
    expect(sharesOf({ shares: { reed: 0.25, heron: 0, [UPKEEP]: 0.75 } })).toEqual([
      { tank: 'reed', weight: 250_000 },
      { tank: UPKEEP, weight: 750_000 },
    ]);
  });

  test("the upkeep's, when nobody is named", () => {
    expect(sharesOf({}).map(({ tank }) => tank)).toEqual([UPKEEP]);
    expect(sharesOf({ shares: {} }).map(({ tank }) => tank)).toEqual([UPKEEP]);
  });
});

describe('sharing out', () => {
  test('gives a lone holder everything', () => {
    expect(shareOut(microUnits(-1.5), sharesOf({ tank: 'reed' }))).toEqual([-1_500_000]);
  });

  test('three thirds written short are thirds', () => {
    const shares = sharesOf({ shares: { a: 0.333, b: 0.333, c: 0.333 } });
    expect(shareOut(9_000_000_000 as MilliwattHours, shares)).toEqual([3e9, 3e9, 3e9]);
  });

  // 0.5, 0.3 and 0.2 of 7 are 3.5, 2.1 and 1.4: floors 3, 2, 1, and the odd one to the largest rest.
  test('7 by a half, three tenths and a fifth is 4, 2 and 1', () => {
    const shares = sharesOf({ shares: { a: 0.5, b: 0.3, c: 0.2 } });
    expect(shareOut(7 as MicroUnits, shares)).toEqual([4, 2, 1]);
  });

  test('loses and invents nothing, whatever the total and the shares', () => {
    const share = fc.record({
      tank: fc.constantFrom('reed', 'heron', 'newt', UPKEEP),
      weight: fc.integer({ min: 1, max: 1_000_000 }),
    });
    fc.assert(
      fc.property(
        fc.maxSafeInteger(),
        fc.array(share, { minLength: 1, maxLength: 8 }),
        (total, shares: Share[]) => {
          const parts = shareOut(total as MilliwattHours, shares);
          expect(parts).toHaveLength(shares.length);
          expect(parts.reduce((a, b) => a + BigInt(b), 0n)).toBe(BigInt(total));
        },
      ),
      runs(),
    );
  });
});
