import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Share, shareOut, UPKEEP } from '../../src/shares/index.ts';
import { type MilliwattHours, microUnits } from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import { divisionOf, energyParts, hours, parts } from './room.ts';

describe('whose a device is', () => {
  const tanksOf = (division: ReturnType<typeof divisionOf>) =>
    division.kind === 'fixed' && division.shares.map(({ tank }) => tank);

  test('its tank, even one of which nothing is known', () => {
    expect(tanksOf(divisionOf({ tank: 'heron-pool' }))).toEqual(['heron-pool']);
  });

  test('its shares, in the order of their ids, without those of nothing', () => {
    const division = divisionOf({ shares: { reed: 0.25, heron: 0, [UPKEEP]: 0.75, a: 0.25 } });
    expect(tanksOf(division)).toEqual(['a', 'reed', UPKEEP]);
  });

  test("the upkeep's, when nobody is named", () => {
    expect(tanksOf(divisionOf({}))).toEqual([UPKEEP]);
    expect(tanksOf(divisionOf({ shares: {} }))).toEqual([UPKEEP]);
  });
});

describe('sharing out', () => {
  const hour = (energy: number) => ({ energy: energy as MilliwattHours, time: hours(1) });

  test('gives a lone holder everything', () => {
    expect(parts(microUnits(-1.5), [{ tank: 'reed', weight: 3 }])).toEqual({ reed: -1_500_000 });
  });

  test('three thirds written short are thirds', () => {
    const division = divisionOf({ shares: { a: 0.333, b: 0.333, c: 0.333 } });
    expect(energyParts(division, hour(9e9))).toEqual({ a: 3e9, b: 3e9, c: 3e9 });
  });

  // 0.5, 0.3 and 0.2 of 7 are 3.5, 2.1 and 1.4: floors 3, 2, 1, and the odd one to the largest rest.
  test('7 by a half, three tenths and a fifth is 4, 2 and 1', () => {
    const division = divisionOf({ shares: { a: 0.5, b: 0.3, c: 0.2 } });
    expect(energyParts(division, hour(7))).toEqual({ a: 4, b: 2, c: 1 });
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
          const amounts = shareOut(total as MilliwattHours, shares);
          expect(amounts).toHaveLength(shares.length);
          expect(amounts.reduce((a, b) => a + BigInt(b), 0n)).toBe(BigInt(total));
        },
      ),
      runs(),
    );
  });
});
