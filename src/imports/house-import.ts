import type { HouseInterval } from '../books/index.ts';
import type { MicroUnits, MilliwattHours, Span } from '../units/index.ts';

/** What a file holds about one meter of the house. */
export interface MeterImport {
  readonly id: string;
  /** What the utility calls it, where the file says so. */
  readonly name: string | undefined;
  /** By time; they do not overlap. */
  readonly intervals: readonly HouseInterval[];
}

/** All that a file says about the house's use: the whole file, or none of it. */
export interface HouseImport {
  readonly meters: readonly MeterImport[];
  /** Of all meters. */
  readonly energy: MilliwattHours;
  /** Of the intervals whose cost is told; undefined when none is. */
  readonly cost: MicroUnits | undefined;
  /** From the first interval's beginning to the last one's end. */
  readonly span: Span;
  /** What a keeper should know of it: rounded, left out, assumed. */
  readonly warnings: readonly string[];
}

/** Adds up what the meters counted. `meters` hold one interval at least. */
export function houseImport(
  meters: readonly MeterImport[],
  warnings: readonly string[],
): HouseImport {
  let energy = 0;
  let cost: number | undefined;
  let from = Infinity;
  let to = -Infinity;
  for (const { intervals } of meters) {
    for (const interval of intervals) {
      energy += interval.energy;
      if (interval.cost !== undefined) cost = (cost ?? 0) + interval.cost;
      from = Math.min(from, interval.from);
      to = Math.max(to, interval.to);
    }
  }
  return {
    meters,
    energy: energy as MilliwattHours,
    cost: cost as MicroUnits | undefined,
    span: { from, to } as Span,
    warnings,
  };
}
