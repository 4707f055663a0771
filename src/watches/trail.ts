import type { Instant, Millis } from '../units/index.ts';
import { medianOf } from './median.ts';

/** The last temperatures of a probe in cells of equal length: a ring, °C. */
export interface Trail {
  readonly width: Millis;
  /** The cell in which the newest value lies, counted from 1970. */
  newest: number;
  /** Last value of each cell, by cell number modulo length; NaN for none, which JSON makes null. */
  readonly cells: number[];
}

export const TRAIL_CELLS = 64;
/** A value stands for so many cells after it where nothing newer came. */
const STANDS = 16;

export const createTrail = (width: Millis): Trail => ({
  width,
  newest: 0,
  cells: new Array<number>(TRAIL_CELLS).fill(Number.NaN),
});

/** A trail that has been through JSON. */
export const restoredTrail = (saved: Trail): Trail => ({
  ...saved,
  cells: saved.cells.map((value: number | null) => value ?? Number.NaN),
});

/** Notes a value; an older one than the trail's newest cell is left out. */
export function noteOnTrail(trail: Trail, at: Instant, value: number): void {
  const cell = Math.floor(at / trail.width);
  if (cell < trail.newest) return;
  const from = Math.max(trail.newest + 1, cell - TRAIL_CELLS + 1);
  for (let i = from; i < cell; i += 1) trail.cells[i % TRAIL_CELLS] = Number.NaN;
  trail.cells[cell % TRAIL_CELLS] = value;
  trail.newest = cell;
}

/** The value that stood at `at`, or undefined where none is known. */
export function onTrail(trail: Trail, at: Instant): number | undefined {
  const wanted = Math.floor(at / trail.width);
  const oldest = Math.max(wanted - STANDS, trail.newest - TRAIL_CELLS + 1);
  for (let i = Math.min(wanted, trail.newest); i >= oldest; i -= 1) {
    const value = trail.cells[i % TRAIL_CELLS] as number;
    if (!Number.isNaN(value)) return value;
  }
  return undefined;
}

/** Median of the values around the end of a stretch of three cells. */
function around(trail: Trail, at: Instant): number | undefined {
  const values: number[] = [];
  for (let i = 0; i < 3; i += 1) {
    const value = onTrail(trail, (at - i * trail.width) as Instant);
    if (value !== undefined) values.push(value);
  }
  return medianOf(values);
}

/** Its mean over the `span` up to now, as far as it is known, °C. */
export function meanOn(trail: Trail, now: Instant, span: number): number | undefined {
  const last = Math.floor(now / trail.width);
  const values = stretch(trail, last - Math.floor(span / trail.width) + 1, last);
  const known = values.filter((value) => !Number.isNaN(value));
  if (known.length === 0) return undefined;
  return known.reduce((sum, value) => sum + value, 0) / known.length;
}

/** How far the temperature has moved within `span` up to `now`, K; undefined where unknown. */
export function moved(trail: Trail, now: Instant, span: number): number | undefined {
  const before = around(trail, (now - span) as Instant);
  const after = around(trail, now);
  return before === undefined || after === undefined ? undefined : after - before;
}

/** The values that stood in the cells from first to last; NaN where none is known. */
function stretch(trail: Trail, first: number, last: number): number[] {
  const values: number[] = [];
  let standing = Number.NaN;
  let age = 0;
  for (let i = first - STANDS; i <= last; i += 1) {
    const isKept = i <= trail.newest && i > trail.newest - TRAIL_CELLS && i >= 0;
    const value = isKept ? (trail.cells[i % TRAIL_CELLS] as number) : Number.NaN;
    if (!Number.isNaN(value)) {
      standing = value;
      age = 0;
    } else {
      age += 1;
      if (age > STANDS) standing = Number.NaN;
    }
    if (i >= first) values.push(standing);
  }
  return values;
}

/**
 * How far the temperature has fallen from the best level within the trail, K, not counting dips and
 * peaks shorter than `brief`. Undefined where less than `brief` is known.
 */
export function fallen(
  trail: Trail,
  now: Instant,
  within: number,
  brief: number,
): number | undefined {
  const steps = Math.max(1, Math.round(brief / trail.width));
  const last = Math.floor(now / trail.width);
  const first = last - Math.floor(within / trail.width) + 1;
  const values = stretch(trail, first, last);
  const recent = values.slice(-steps);
  if (recent.some(Number.isNaN)) return undefined;
  const level = Math.max(...recent);
  let best = level;
  for (let i = 0; i + steps <= values.length; i += 1) {
    let low = Number.POSITIVE_INFINITY;
    for (let j = i; j < i + steps; j += 1) low = Math.min(low, values[j] as number);
    if (low > best) best = low;
  }
  return best - level;
}
