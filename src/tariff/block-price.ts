import type { MicroPerKwh, MilliwattHours } from '../units/index.ts';
import { rounded } from './exact.ts';

/** How much of an energy, counted from nothing, falls into each block. Below zero: into the first. */
export function fillBlocks(energy: number, ends: readonly number[]): number[] {
  let start = 0;
  return [...ends, Infinity].map((end, index) => {
    const begun = index === 0 ? energy : Math.max(0, energy - start);
    const part = Math.min(begun, end - start);
    start = end;
    return part;
  });
}

/**
 * What a kWh of a part of the house's energy costs in a billing month with blocks, rounded once.
 * average: as the whole house pays on average. marginal: the part comes on top of the rest of the
 * house, and the blocks that it reaches weigh their prices. Of no energy, the price of the block
 * into which the next kWh would fall.
 *
 * @param perKwh one price for each block
 * @param ends where each block but the last ends, rising
 * @param use energy since the month began; a part of more than the house is taken for all of it
 */
export function blockPrice(
  perKwh: readonly MicroPerKwh[],
  ends: readonly MilliwattHours[],
  use: { readonly house: MilliwattHours; readonly part: MilliwattHours },
  at: 'average' | 'marginal',
): MicroPerKwh {
  const house = Math.max(use.house, use.part, 0);
  const rest = at === 'average' ? 0 : house - Math.max(use.part, 0);
  if (house === rest) {
    const block = ends.findIndex((end) => house < end);
    return perKwh[block === -1 ? ends.length : block] as MicroPerKwh;
  }
  const below = fillBlocks(rest, ends);
  const weighed = fillBlocks(house, ends).reduce(
    (sum, fill, block) =>
      sum + BigInt(fill - (below[block] ?? 0)) * BigInt(perKwh[block] as MicroPerKwh),
    0n,
  );
  return rounded({ over: weighed, under: BigInt(house - rest) }) as MicroPerKwh;
}
