import fc from 'fast-check';
import type { Belonging, Division, Share, TankFacts } from '../../src/shares/index.ts';
import { compileShares, shareOut, sharesIn, UPKEEP } from '../../src/shares/index.ts';
import {
  Calendar,
  HOUR,
  type Instant,
  type Millis,
  type MilliwattHours,
  type Quantity,
} from '../../src/units/index.ts';

/** An invented room with three tanks; what they need in a room of 11 °C is easily multiplied. */
export const TANKS: Readonly<Record<string, TankFacts>> = {
  reed: { volume_l: 60, lossWPerK: 4, keptC: 25 },
  heron: { volume_l: 180, lossWPerK: 2, keptC: 23 },
  newt: { volume_l: 0.5, lossWPerK: 1.5, keptC: 11 },
};

export const utc = new Calendar('UTC');

export const wattHours = (amount: number): MilliwattHours => (amount * 1000) as MilliwattHours;
export const hours = (amount: number): Millis => (amount * HOUR) as Millis;

/** Whose a device of this belonging is, on any day. */
export const divisionOf = (
  belonging: Belonging,
  tanks: Readonly<Record<string, TankFacts>> = TANKS,
): Division => compileShares({ it: belonging }, tanks, utc).of('it', 0 as Instant);

/** Divides as the books do: everything of a device's day by the same shares. */
export function parts<U extends string>(
  total: Quantity<U>,
  shares: readonly Share[],
): Record<string, number> {
  const amounts = shareOut(total, shares);
  return Object.fromEntries(shares.map(({ tank }, index) => [tank, amounts[index] ?? Number.NaN]));
}

export const day = (watts: number, time = hours(24)) => ({
  energy: Math.round((watts * time) / 3600) as MilliwattHours,
  time,
});

/** What each gets of the energy itself. */
export const energyParts = (
  division: Division,
  used: { readonly energy: MilliwattHours; readonly time: Millis },
): Record<string, number> => parts(used.energy, sharesIn(division, used));

const IDS = ['reed', 'heron', 'newt', 'marsh', 'a', 'z-9'] as const;

const facts: fc.Arbitrary<TankFacts> = fc.record({
  volume_l: fc.double({ min: 0.001, max: 1e6, noNaN: true }),
  lossWPerK: fc.double({ min: 0, max: 500, noNaN: true }),
  keptC: fc.double({ min: -5, max: 60, noNaN: true }),
});

export const tankFacts: fc.Arbitrary<Record<string, TankFacts>> = fc
  .tuple(...IDS.map(() => facts))
  .map((all) => Object.fromEntries(IDS.map((id, index) => [id, all[index] as TankFacts])));

const among = fc.uniqueArray(fc.constantFrom<string>(...IDS), { minLength: 1 });
const amongWithUpkeep = fc.uniqueArray(fc.constantFrom<string>(...IDS, UPKEEP), { minLength: 1 });

/** Everything that the config lets a keeper say, and shares that do not sum to one besides. */
export const belonging: fc.Arbitrary<Belonging> = fc.oneof(
  fc.constantFrom<string>(...IDS, UPKEEP).map((tank) => ({ tank })),
  fc
    .dictionary(fc.constantFrom<string>(...IDS, UPKEEP), fc.double({ min: 0, max: 1, noNaN: true }))
    .map((shares) => ({ shares })),
  amongWithUpkeep.map((tanks) => ({ divided: { by: 'equal' as const, among: tanks } })),
  among.map((tanks) => ({ divided: { by: 'volume' as const, among: tanks } })),
  fc
    .dictionary(fc.constantFrom<string>(...IDS, UPKEEP), fc.integer({ min: 1, max: 1_000 }), {
      minKeys: 1,
    })
    .map((outlets) => ({ divided: { by: 'outlets' as const, outlets } })),
  fc.tuple(among, fc.double({ min: -50, max: 60, noNaN: true })).map(([tanks, room]) => ({
    divided: { by: 'heat-need' as const, among: tanks, room_without_c: room },
  })),
);

/** A device's day: negative too, where a meter counts both ways, and energy without a time. */
export const used = fc.record({
  energy: fc.oneof(
    fc.integer({ min: -1e9, max: 1e9 }),
    fc.maxSafeInteger(),
  ) as fc.Arbitrary<MilliwattHours>,
  time: fc.oneof(fc.constant(0), fc.integer({ min: 1, max: 25 * HOUR })) as fc.Arbitrary<Millis>,
});
