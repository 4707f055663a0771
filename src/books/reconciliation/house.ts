import { type Instant, SLOT, slotPieces } from '../../units/index.ts';
import type { HouseInterval } from '../house.ts';
import { indexOf, type SlotGrid, slotAt } from './slots.ts';

/** What the house's meters counted, slot by slot. */
export interface HouseSlots {
  /** mWh; an interval of several slots is spread evenly over them. */
  readonly energy: Float64Array;
  /** ms of each slot that every meter counted in. */
  readonly covered: Float64Array;
  /** The slots that an interval reaches into at all. */
  readonly touched: Uint8Array;
  readonly long: readonly LongInterval[];
  /** mWh of intervals that the utility estimated. */
  readonly estimated: number;
  /** µ; undefined unless every interval has one. */
  readonly cost: number | undefined;
  /** How many meters count at the same time. */
  readonly meters: number;
}

/** An interval of more than one slot: which of them got how much is not counted but spread. */
export interface LongInterval {
  /** Number of the first slot within the span. */
  readonly first: number;
  /** mWh of each slot from `first` on. */
  readonly energy: readonly number[];
  /** Part of it lies outside the span. */
  readonly cut: boolean;
}

/** Meters that never run at the same time follow each other: an old one and the one in its place. */
interface Succession {
  until: number;
  readonly covered: Float64Array;
}

/** @param intervals of one meter they do not overlap */
export function houseSlots(all: readonly HouseInterval[], grid: SlotGrid): HouseSlots {
  const end = slotAt(grid, grid.count);
  const intervals = all.filter(({ from, to }) => from < end && to > grid.from);
  const energy = new Float64Array(grid.count);
  const touched = new Uint8Array(grid.count);
  const long: LongInterval[] = [];
  const successions = successionsOf(intervals, grid.count);
  let estimated = 0;
  let cost: number | undefined = 0;
  for (const interval of intervals) {
    const parts = partsOf(interval, grid);
    const covered = successions.of(interval.meter);
    let inside = 0;
    let time = 0;
    for (const part of parts) {
      energy[part.index] = (energy[part.index] ?? 0) + part.energy;
      covered[part.index] = (covered[part.index] ?? 0) + part.time;
      touched[part.index] = 1;
      inside += part.energy;
      time += part.time;
    }
    const length = interval.to - interval.from;
    if (parts.length > 1 || time < length) {
      long.push({
        first: parts[0]?.index ?? 0,
        energy: parts.map((part) => part.energy),
        cut: time < length,
      });
    }
    if (interval.quality === 'estimated') estimated += inside;
    cost =
      cost === undefined || interval.cost === undefined
        ? undefined
        : cost + Math.round(interval.cost * (time / length));
  }
  const meters = successions.all.length;
  return {
    energy,
    covered: coveredByAll(successions.all, grid.count),
    touched,
    long,
    estimated,
    cost: meters === 0 ? undefined : cost,
    meters,
  };
}

function coveredByAll(all: readonly Succession[], count: number): Float64Array {
  const covered = new Float64Array(count);
  if (all.length === 0) return covered;
  return covered.map((_, index) => Math.min(SLOT, ...all.map((one) => one.covered[index] ?? 0)));
}

interface Part {
  readonly index: number;
  readonly energy: number;
  readonly time: number;
}

/** What of an interval lies in the slots of the grid: whole mWh, by the rounding of a running sum. */
function partsOf({ from, to, energy }: HouseInterval, grid: SlotGrid): Part[] {
  const parts: Part[] = [];
  const end = slotAt(grid, grid.count);
  const start = Math.max(from, grid.from) as Instant;
  const sum = (at: Instant): number => Math.round(energy * ((at - from) / (to - from)));
  for (const piece of slotPieces(start, Math.min(to, end) as Instant)) {
    parts.push({
      index: indexOf(grid, piece.slot),
      energy: sum(piece.to) - sum(piece.from),
      time: piece.to - piece.from,
    });
  }
  return parts;
}

function successionsOf(intervals: readonly HouseInterval[], count: number) {
  const extents = new Map<string, { from: number; to: number }>();
  for (const { meter, from, to } of intervals) {
    const known = extents.get(meter);
    if (known === undefined) extents.set(meter, { from, to });
    else {
      known.from = Math.min(known.from, from);
      known.to = Math.max(known.to, to);
    }
  }
  const all: Succession[] = [];
  const byMeter = new Map<string, Float64Array>();
  const inOrder = [...extents].sort(([, a], [, b]) => a.from - b.from);
  for (const [meter, { from, to }] of inOrder) {
    let succession = all.find(({ until }) => until <= from);
    if (succession === undefined) {
      succession = { until: to, covered: new Float64Array(count) };
      all.push(succession);
    }
    succession.until = to;
    byMeter.set(meter, succession.covered);
  }
  return {
    all,
    of: (meter: string): Float64Array => byMeter.get(meter) ?? new Float64Array(count),
  };
}
