import type { Instant, Millis } from '../units/index.ts';

/** The last temperatures of a probe in cells of equal length: a ring, °C. */
export interface Trail {
  readonly width: Millis;
  /** The cell in which the newest value lies, counted from 1970. */
  newest: number;
  /** Last value of each cell, by cell number modulo length; null for none. */
  readonly cells: (number | null)[];
}

export const TRAIL_CELLS = 64;
/** A value stands for so many cells after it where nothing newer came. */
const STANDS = 16;

export const createTrail = (width: Millis): Trail => ({
  width,
  newest: 0,
  cells: new Array<number | null>(TRAIL_CELLS).fill(null),
});

/** Notes a value; an older one than the trail's newest cell is left out. */
export function noteOnTrail(trail: Trail, at: Instant, value: number): void {
  const cell = Math.floor(at / trail.width);
  if (cell < trail.newest) return;
  const from = Math.max(trail.newest + 1, cell - TRAIL_CELLS + 1);
  for (let i = from; i < cell; i += 1) trail.cells[i % TRAIL_CELLS] = null;
  trail.cells[cell % TRAIL_CELLS] = value;
  trail.newest = cell;
}

/** The value that stood at `at`, or undefined where none is known. */
export function onTrail(trail: Trail, at: Instant): number | undefined {
  const wanted = Math.floor(at / trail.width);
  const oldest = Math.max(wanted - STANDS, trail.newest - TRAIL_CELLS + 1);
  for (let i = Math.min(wanted, trail.newest); i >= oldest; i -= 1) {
    const value = trail.cells[i % TRAIL_CELLS];
    if (value !== null && value !== undefined) return value;
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
  values.sort((a, b) => a - b);
  return values[values.length >> 1];
}

/** How far the temperature has moved within `span` up to `now`, K; undefined where unknown. */
export function moved(trail: Trail, now: Instant, span: number): number | undefined {
  const before = around(trail, (now - span) as Instant);
  const after = around(trail, now);
  return before === undefined || after === undefined ? undefined : after - before;
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
  const values: (number | undefined)[] = [];
  for (let i = first; i <= last; i += 1) {
    values.push(onTrail(trail, (i * trail.width) as Instant));
  }
  const recent = values.slice(-steps).filter((value) => value !== undefined);
  if (recent.length < steps) return undefined;
  const level = Math.max(...recent);
  let best = level;
  for (let i = 0; i + steps <= values.length; i += 1) {
    let low = Number.POSITIVE_INFINITY;
    for (let j = i; j < i + steps; j += 1) low = Math.min(low, values[j] ?? Number.NaN);
    if (low > best) best = low;
  }
  return best - level;
}
