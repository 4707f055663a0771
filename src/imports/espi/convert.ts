import type { HouseInterval } from '../../books/index.ts';
import type { Instant, MicroUnits, MilliwattHours } from '../../units/index.ts';
import { scaled } from '../decimal.ts';
import { FileRefused } from '../refused.ts';
import type { Meaning } from './judge.ts';
import { type IntervalBlock, type IntervalReading, placeOf } from './parts.ts';

/** An interval of the house, and where it stands in the file. */
export interface Placed {
  readonly interval: HouseInterval;
  readonly block: IntervalBlock;
  readonly reading: IntervalReading;
}

/** An interval in the books' units; costs come in 1e-5 of the currency, ten micro-units. */
export function convert(
  meter: string,
  block: IntervalBlock,
  reading: IntervalReading,
  meaning: Meaning,
  costTold: boolean,
): { readonly interval: HouseInterval; readonly exact: boolean } {
  const energy = scaled(BigInt(reading.value), meaning.power);
  if (energy === undefined || energy.value < 0) {
    throw new FileRefused({
      code: 'AMP_ESPI_VALUE',
      line: reading.line,
      place: placeOf(block, reading),
      message: `the energy is ${energy === undefined ? 'more than can be counted' : 'below zero'}: ${reading.value}`,
      remedy: 'have the utility mend it, or take this reading out of the file',
    });
  }
  // Fields have fourteen digits at most, so that ten times the cost is exact.
  const cost = costTold && reading.cost !== undefined ? reading.cost * 10 : undefined;
  const from = (reading.start * 1000) as Instant;
  const to = ((reading.start + reading.seconds) * 1000) as Instant;
  return {
    exact: energy.exact,
    interval: {
      meter,
      from,
      to,
      energy: energy.value as MilliwattHours,
      cost: cost as MicroUnits | undefined,
      quality: reading.quality,
    },
  };
}

/** Sorts a meter's intervals by time, and refuses two that cover the same time. */
export function inOrder(placed: Placed[]): HouseInterval[] {
  placed.sort((a, b) => a.interval.from - b.interval.from);
  placed.forEach(({ interval, block, reading }, index) => {
    const before = placed[index - 1];
    if (before === undefined || before.interval.to <= interval.from) return;
    throw new FileRefused({
      code: 'AMP_ESPI_OVERLAP',
      line: reading.line,
      place: placeOf(block, reading),
      message: `it covers time that is counted already at line ${before.reading.line}, ${placeOf(before.block, before.reading)}`,
      remedy: 'export one kind of reading only, each time once',
    });
  });
  return placed.map(({ interval }) => interval);
}
