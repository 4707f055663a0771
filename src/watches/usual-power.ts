import { DAY, HOUR, type Instant, MINUTE } from '../units/index.ts';

/**
 * What a device usually draws, learned from a sample a quarter-hour of the last eight days: counts
 * of powers a percent apart, in slices of four hours. A week of samples is 670 counts in a few dozen
 * numbers, and a median read from it is right to half a percent. Immutable, plain JSON.
 */
export interface UsualPower {
  /** When learning began: at the first sample, or when the gear was replaced. */
  readonly since: Instant | undefined;
  /** The quarter-hour of the last sample, counted from 1970. */
  readonly sampled: number;
  readonly slices: readonly Slice[];
  /** Read from the slices at each sample. */
  readonly levels: Levels;
}

interface Slice {
  /** Counted from 1970. */
  readonly number: number;
  /** Bin and count in turn, in no order. */
  readonly bins: readonly number[];
}

/** The spread of what was drawn, W. */
export interface Spread {
  readonly samples: number;
  readonly lowest: number; // only one sample of a hundred is lower
  readonly low: number; // one of ten
  readonly median: number;
  readonly high: number;
  readonly highest: number;
}

export interface Levels {
  /** The eight days, undefined before the first three hours of running. */
  readonly all: Spread | undefined;
  /** The last day, undefined with less than four hours of running in it. */
  readonly lately: Spread | undefined;
  /** The seven days before the last, undefined with less than 16 hours of running in them. */
  readonly before: Spread | undefined;
}

const CELL = 15 * MINUTE;
const SLICE = 4 * HOUR;
const LATELY = DAY / SLICE;
const KEPT = (8 * DAY) / SLICE;
const STEP = Math.log(1.01);
const ENOUGH = { all: 12, lately: 16, before: 64 };
/** No plug tells less from nothing, W. */
const LEAST = 0.3;

const nothingKnown: Levels = { all: undefined, lately: undefined, before: undefined };

/** Nothing learned yet; also what to start from when the gear was replaced. */
export const unlearnedPower: UsualPower = {
  since: undefined,
  sampled: 0,
  slices: [],
  levels: nothingKnown,
};

const binOf = (power: number): number => Math.round(Math.log(power) / STEP);
const powerOf = (bin: number): number => Math.exp(bin * STEP);

/**
 * The moment within a cell at which its sample is due, as a part of the cell. It wanders from cell
 * to cell, so that no rhythm of the device meets always the same phase.
 */
function dueIn(cell: number): number {
  const mixed = Math.imul(cell ^ (cell >>> 15), 0x2c1b3c6d);
  return ((Math.imul(mixed ^ (mixed >>> 12), 0x297a2d39) >>> 0) / 2 ** 32) * 0.9;
}

/**
 * Takes the power at a look into account where a sample is due: else the same object comes back.
 * What is not running is not learned from.
 * @param power W
 * @param runsFrom the least power at which the device runs, W
 */
export function learnPower(
  usual: UsualPower,
  power: number,
  now: Instant,
  runsFrom: number,
): UsualPower {
  const cell = Math.floor(now / CELL);
  if (cell <= usual.sampled || now / CELL - cell < dueIn(cell)) return usual;
  if (!(power >= Math.max(LEAST, runsFrom))) return usual;
  const number = Math.floor(now / SLICE);
  const kept = usual.slices.filter((slice) => slice.number > number - KEPT);
  const last = kept.at(-1);
  const slices =
    last?.number === number
      ? [...kept.slice(0, -1), { number, bins: counted(last.bins, binOf(power)) }]
      : [...kept, { number, bins: [binOf(power), 1] }];
  return { since: usual.since ?? now, sampled: cell, slices, levels: levelsOf(slices, number) };
}

function counted(bins: readonly number[], bin: number): number[] {
  const after = [...bins];
  for (let i = 0; i < after.length; i += 2) {
    if (after[i] === bin) {
      after[i + 1] = (after[i + 1] ?? 0) + 1;
      return after;
    }
  }
  after.push(bin, 1);
  return after;
}

function levelsOf(slices: readonly Slice[], newest: number): Levels {
  const isLate = (slice: Slice) => slice.number > newest - LATELY;
  return {
    all: spreadOf(slices, ENOUGH.all),
    lately: spreadOf(slices.filter(isLate), ENOUGH.lately),
    before: spreadOf(
      slices.filter((slice) => !isLate(slice)),
      ENOUGH.before,
    ),
  };
}

function spreadOf(slices: readonly Slice[], enough: number): Spread | undefined {
  const counts = new Map<number, number>();
  let samples = 0;
  for (const { bins } of slices) {
    for (let i = 0; i < bins.length; i += 2) {
      const bin = bins[i] as number;
      const count = bins[i + 1] as number;
      counts.set(bin, (counts.get(bin) ?? 0) + count);
      samples += count;
    }
  }
  if (samples < enough) return undefined;
  const sorted = [...counts].sort(([a], [b]) => a - b);
  const at = (part: number): number => {
    let left = part * samples;
    for (const [bin, count] of sorted) {
      left -= count;
      if (left <= 0) return powerOf(bin);
    }
    return powerOf(sorted.at(-1)?.[0] ?? 0);
  };
  return {
    samples,
    lowest: at(0.01),
    low: at(0.1),
    median: at(0.5),
    high: at(0.9),
    highest: at(0.99),
  };
}

/** Of its rated power a device at its slowest draws so much: less is what it draws standing by. */
const SLOWEST = 0.05;

/** From this power on a device is taken to run, W: a part of what it usually draws. */
export const runsFrom = (usual: UsualPower, nameplate: number, part: number): number =>
  Math.max(SLOWEST * nameplate, part * (usual.levels.all?.median ?? 0));
