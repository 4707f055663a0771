import { type Instant, MINUTE } from '../units/index.ts';

/** When a device drew power over the last day, in quarters of an hour: a ring. Plain JSON. */
export interface Duty {
  /** The cell in which the newest moment lies, counted from 1970. */
  newest: number;
  /** Time drawn in each cell, ms. */
  readonly on: number[];
  /** Time in each cell of which it is known, ms. */
  readonly seen: number[];
}

export const DUTY_CELL = 15 * MINUTE;
export const DUTY_CELLS = 96;

const empty = (): number[] => new Array<number>(DUTY_CELLS).fill(0);

export const createDuty = (): Duty => ({ newest: 0, on: empty(), seen: empty() });

/** Notes that it drew, or did not, between two moments; one that a set-back clock dates early begins anew. */
export function noteStretch(duty: Duty, from: Instant, to: Instant, drawing: boolean): void {
  const last = Math.floor(to / DUTY_CELL);
  if (last < duty.newest - 1) duty.newest = 0;
  for (let cell = Math.max(duty.newest + 1, last - DUTY_CELLS + 1); cell <= last; cell += 1) {
    duty.on[cell % DUTY_CELLS] = 0;
    duty.seen[cell % DUTY_CELLS] = 0;
  }
  duty.newest = Math.max(duty.newest, last);
  const first = Math.max(Math.floor(from / DUTY_CELL), last - DUTY_CELLS + 1);
  for (let cell = first; cell <= last; cell += 1) {
    const start = Math.max(from, cell * DUTY_CELL);
    const part = Math.min(to, (cell + 1) * DUTY_CELL) - start;
    if (part <= 0) continue;
    const at = cell % DUTY_CELLS;
    duty.seen[at] = (duty.seen[at] ?? 0) + part;
    if (drawing) duty.on[at] = (duty.on[at] ?? 0) + part;
  }
}

/** Whether it drew at all in a cell of the last day. */
export const drewIn = (duty: Duty, cell: number): boolean =>
  cell <= duty.newest &&
  cell > duty.newest - DUTY_CELLS &&
  (duty.on[((cell % DUTY_CELLS) + DUTY_CELLS) % DUTY_CELLS] ?? 0) > 0;

/** The sum over a span of at most a day, ms; of its first cell the part that lies in it. */
function total(duty: Duty, times: readonly number[], from: number, to: number): number {
  let sum = 0;
  const last = Math.min(Math.floor(to / DUTY_CELL), duty.newest);
  const oldest = duty.newest - DUTY_CELLS + 1;
  for (let cell = Math.max(Math.floor(from / DUTY_CELL), oldest); cell <= last; cell += 1) {
    const begin = cell * DUTY_CELL;
    const part = from > begin ? (begin + DUTY_CELL - from) / DUTY_CELL : 1;
    sum += (times[cell % DUTY_CELLS] ?? 0) * part;
  }
  return sum;
}

export interface Stretch {
  /** Time drawn, ms. */
  readonly on: number;
  /** Time known, ms. */
  readonly seen: number;
}

/**
 * How long it drew within a span up to `now`.
 * @param standing since when its last word stands, and what that was; undefined when it is silent
 */
export function drewWithin(
  duty: Duty,
  now: Instant,
  span: number,
  standing: { readonly at: Instant; readonly drawing: boolean } | undefined,
): Stretch {
  const from = now - span;
  const since = standing === undefined ? 0 : Math.max(0, now - Math.max(from, standing.at));
  return {
    on: Math.min(span, total(duty, duty.on, from, now) + (standing?.drawing ? since : 0)),
    seen: Math.min(span, total(duty, duty.seen, from, now) + since),
  };
}
