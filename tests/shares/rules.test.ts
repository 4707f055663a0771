import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { sharesIn, UPKEEP } from '../../src/shares/index.ts';
import {
  type MicroUnits,
  type Millis,
  type MilliwattHours,
  microUnits,
} from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import {
  belonging,
  day,
  divisionOf,
  energyParts,
  hours,
  parts,
  TANKS,
  tankFacts,
  used,
  wattHours,
} from './room.ts';

describe('a rule divides', () => {
  const nine = { energy: wattHours(9), time: hours(1) };

  test('equally', () => {
    const division = divisionOf({ divided: { by: 'equal', among: ['reed', UPKEEP, 'heron'] } });
    expect(energyParts(division, nine)).toEqual({ heron: 3000, reed: 3000, upkeep: 3000 });
  });

  test('by the water of the tanks: 60 and 180 liters are one and three quarters of four', () => {
    const division = divisionOf({ divided: { by: 'volume', among: ['reed', 'heron'] } });
    expect(energyParts(division, day(100))).toEqual({ reed: 600_000, heron: 1_800_000 });
  });

  test('by water to the milliliter, a cup beside a pond too', () => {
    const pond = { ...TANKS, pond: { volume_l: 1e6, lossWPerK: 0, keptC: 0 } };
    const cup = divisionOf({ divided: { by: 'volume', among: ['newt', 'reed'] } });
    expect(energyParts(cup, { energy: 60_500 as MilliwattHours, time: hours(1) })).toEqual({
      newt: 500,
      reed: 60_000,
    });
    const beside = divisionOf({ divided: { by: 'volume', among: ['newt', 'pond'] } }, pond);
    const { newt } = energyParts(beside, { energy: 2e9 as MilliwattHours, time: hours(1) });
    // 0.5 of 1,000,000.5 L, of 2 MWh: 1 Wh less half a part in a million of it.
    expect(Math.abs((newt ?? 0) - 1000)).toBeLessThanOrEqual(25);
  });

  test('by water to the nearest milliliter, and forgets no drop', () => {
    const tanks = {
      cup: { volume_l: 1.0006, lossWPerK: 0, keptC: 0 },
      jar: { volume_l: 1, lossWPerK: 0, keptC: 0 },
      drop: { volume_l: 0.0001, lossWPerK: 0, keptC: 0 },
    };
    const near = divisionOf({ divided: { by: 'volume', among: ['jar', 'cup'] } }, tanks);
    const one = { energy: 20_010_000 as MilliwattHours, time: hours(1) };
    expect(energyParts(near, one)).toEqual({ cup: 10_010_000, jar: 10_000_000 });
    const drop = divisionOf({ divided: { by: 'volume', among: ['jar', 'drop'] } }, tanks);
    expect(energyParts(drop, { ...one, energy: 1001 as MilliwattHours })).toEqual({
      drop: 1,
      jar: 1000,
    });
  });

  test('by outlets: three, one, and two that blow into no tank', () => {
    const division = divisionOf({
      divided: { by: 'outlets', outlets: { reed: 3, heron: 1, [UPKEEP]: 2 } },
    });
    expect(energyParts(division, nine)).toEqual({ heron: 1500, reed: 4500, upkeep: 3000 });
  });

  test('cannot go by what nobody knows, and says what to do', () => {
    const bare = { reed: { volume_l: undefined, lossWPerK: undefined, keptC: 25 } };
    expect(() => divisionOf({ divided: { by: 'volume', among: ['reed'] } }, bare)).toThrow(
      expect.objectContaining({
        code: 'AMP_SHARES_TANK',
        message: expect.stringContaining('the volume of reed'),
        remedy: expect.stringContaining('dimensions_cm'),
      }),
    );
    const byNeed = { by: 'heat-need' as const, among: ['reed'], room_without_c: 11 };
    expect(() => divisionOf({ divided: byNeed }, bare)).toThrow('the heat loss of reed');
    expect(() => divisionOf({ divided: byNeed }, {})).toThrow('the kept temperature of reed');
  });
});

describe('a room heater', () => {
  // By hand: reed 4 W/K × 14 K = 56 W, heron 2 × 12 = 24 W, together 80 W. Newt is kept at 11 °C.
  const stove = divisionOf({
    divided: { by: 'heat-need', among: ['reed', 'newt', 'heron'], room_without_c: 11 },
  });

  test('that gives less than the tanks need is divided in proportion to the needs', () => {
    expect(energyParts(stove, day(60))).toEqual({ heron: 432_000, reed: 1_008_000 });
  });

  test('that gives just what they need gives each its need', () => {
    expect(energyParts(stove, day(80))).toEqual({ heron: 24 * 24_000, reed: 56 * 24_000 });
  });

  test('that gives more warms the room with the rest: upkeep', () => {
    expect(energyParts(stove, day(200))).toEqual({
      heron: 24 * 24_000,
      reed: 56 * 24_000,
      upkeep: 120 * 24_000,
    });
  });

  test('is measured by the time that is known, not by the day', () => {
    expect(energyParts(stove, day(200, hours(6)))).toEqual({
      heron: 24 * 6_000,
      reed: 56 * 6_000,
      upkeep: 120 * 6_000,
    });
  });

  test('divides the money like the energy', () => {
    const shares = sharesIn(stove, day(200));
    expect(parts(microUnits(5), shares)).toEqual({
      heron: 600_000,
      reed: 1_400_000,
      upkeep: 3_000_000,
    });
  });

  test('is upkeep where no tank needs it', () => {
    const warm = divisionOf({ divided: { by: 'heat-need', among: ['newt'], room_without_c: 12 } });
    expect(energyParts(warm, day(200))).toEqual({ upkeep: 4_800_000 });
  });

  test('is not said to have given more than needed when its time is not known', () => {
    const { upkeep } = energyParts(stove, { energy: wattHours(50), time: 0 as Millis });
    expect(upkeep).toBeUndefined();
  });

  test('gives a tank its need at most, its part of too little, and the upkeep what is left', () => {
    const positive = fc.record({
      energy: fc.integer({ min: 1, max: 1e9 }) as fc.Arbitrary<MilliwattHours>,
      time: fc.integer({ min: 60_000, max: 25 * 3_600_000 }) as fc.Arbitrary<Millis>,
    });
    const needs = fc.array(fc.double({ min: 0.01, max: 2_000, noNaN: true }), {
      minLength: 1,
      maxLength: 8,
    });
    fc.assert(
      fc.property(needs, positive, (watts, { energy, time }) => {
        const tanks = watts.map((need, index) => ({ tank: `tank-${index}`, watts: need }));
        const got = energyParts({ kind: 'heat-need', needs: tanks }, { energy, time });
        const needed = watts.reduce((a, b) => a + b, 0);
        const given = (energy * 3600) / time;
        // Weights are whole: one part in 90 million, for each tank and for the upkeep.
        const tolerance = 1 + energy * (watts.length + 1) * 1.2e-8;
        for (const { tank, watts: need } of tanks) {
          const due = (energy * need) / Math.max(needed, given);
          expect(Math.abs((got[tank] ?? 0) - due)).toBeLessThanOrEqual(tolerance);
          expect((got[tank] ?? 0) * 3600).toBeLessThanOrEqual(need * time + tolerance * 3600);
        }
        const rest = Math.max(0, energy - (needed * time) / 3600);
        expect(Math.abs((got[UPKEEP] ?? 0) - rest)).toBeLessThanOrEqual(tolerance);
      }),
      runs(),
    );
  });
});

describe('every rule', () => {
  test('loses and invents nothing, of energy or money, above zero or below', () => {
    fc.assert(
      fc.property(belonging, tankFacts, used, fc.maxSafeInteger(), (whose, tanks, of, money) => {
        const shares = sharesIn(divisionOf(whose, tanks), of);
        for (const total of [of.energy, money as MicroUnits]) {
          const amounts = Object.values(parts<string>(total, shares));
          expect(amounts).toHaveLength(shares.length);
          expect(amounts.reduce((sum, amount) => sum + BigInt(amount), 0n)).toBe(BigInt(total));
          // Nobody pays for a day on which others were paid.
          expect(amounts.every((amount) => amount * Math.sign(total) >= 0)).toBe(true);
        }
      }),
      runs(),
    );
  });

  test('gives each within one unit of what its weight says', () => {
    fc.assert(
      fc.property(belonging, tankFacts, used, (whose, tanks, of) => {
        const shares = sharesIn(divisionOf(whose, tanks), of);
        const whole = shares.reduce((sum, { weight }) => sum + BigInt(weight), 0n);
        const got = parts(of.energy, shares);
        for (const { tank, weight } of shares) {
          const off = BigInt(got[tank] ?? 0) * whole - BigInt(of.energy) * BigInt(weight);
          expect(off < whole && -off < whole).toBe(true);
        }
      }),
      runs(),
    );
  });

  test('knows each tank once, and only tanks that it names', () => {
    fc.assert(
      fc.property(belonging, tankFacts, used, (whose, tanks, of) => {
        const named = new Set([
          UPKEEP,
          whose.tank,
          ...Object.keys(whose.shares ?? {}),
          ...(whose.divided === undefined
            ? []
            : whose.divided.by === 'outlets'
              ? Object.keys(whose.divided.outlets)
              : whose.divided.among),
        ]);
        const got = sharesIn(divisionOf(whose, tanks), of).map(({ tank }) => tank);
        expect(new Set(got).size).toBe(got.length);
        expect(got.filter((tank) => !named.has(tank))).toEqual([]);
      }),
      runs(),
    );
  });

  test('does not care in which order the file names the tanks', () => {
    const turned = <T>(record: Readonly<Record<string, T>>): Record<string, T> =>
      Object.fromEntries(Object.entries(record).reverse());
    fc.assert(
      fc.property(belonging, tankFacts, used, ({ tank, shares, divided }, tanks, of) => {
        const other = {
          tank,
          shares: shares && turned(shares),
          divided:
            divided === undefined
              ? undefined
              : divided.by === 'outlets'
                ? { ...divided, outlets: turned(divided.outlets) }
                : { ...divided, among: divided.among.toReversed() },
        };
        expect(energyParts(divisionOf(other, turned(tanks)), of)).toEqual(
          energyParts(divisionOf({ tank, shares, divided }, tanks), of),
        );
      }),
      runs(),
    );
  });
});
