import type { PartlyEnergy, PartlyFlat, PartlyTimeOfUse } from './partly.ts';
import { exactlyOne, type ProblemPath, sixDecimals, type TariffProblem } from './problem.ts';

type Pricing = Pick<PartlyFlat, 'price_per_kwh' | 'prices_per_kwh'>;
type SlotPrices = Extract<PartlyEnergy, { readonly kind?: 'slot-prices' | undefined }>;

/** One price, or with blocks one for each. How many there must be, the blocks tell. */
export function pricingProblems(
  path: ProblemPath,
  pricing: Pricing,
  energy: PartlyFlat | PartlyTimeOfUse,
): TariffProblem[] {
  const { price_per_kwh: one, prices_per_kwh: several } = pricing;
  const remedy = 'give one price, or under blocks one for each block';
  const problems = [
    ...exactlyOne(path, pricing, ['price_per_kwh', 'prices_per_kwh'], remedy),
    ...sixDecimals([...path, 'price_per_kwh'], one),
    ...(several ?? []).flatMap((price, index) =>
      sixDecimals([...path, 'prices_per_kwh', index], price),
    ),
  ];
  if (several === undefined || 'blocks' in energy) return problems;
  return [
    ...problems,
    {
      code: 'AMP_TARIFF_BLOCKS',
      path: [...path, 'prices_per_kwh'],
      at: 'key',
      found: 'a list of prices, but no blocks',
      allowed: 'blocks that say where each price ends, or one price_per_kwh',
      remedy: 'add blocks to the energy of this tariff',
    },
  ];
}

export function slotPriceProblems(path: ProblemPath, energy: SlotPrices): TariffProblem[] {
  const { floor_per_kwh: floor, cap_per_kwh: cap } = energy;
  const keys = ['factor', 'adder_per_kwh', 'floor_per_kwh', 'cap_per_kwh'] as const;
  const problems = keys.flatMap((key) => sixDecimals([...path, key], energy[key]));
  if (floor === undefined || cap === undefined || floor <= cap) return problems;
  return [
    ...problems,
    {
      code: 'AMP_TARIFF_LIMITS',
      path: [...path, 'cap_per_kwh'],
      found: 'a cap below the floor',
      allowed: 'at least the floor',
      remedy: 'swap or mend the two',
    },
  ];
}
