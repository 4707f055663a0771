import { DAY, type Instant, type Millis } from '../units/index.ts';

/** How long a probe has said the very same value, and how long it ever does. */
export interface Stills {
  /** When learning began; undefined in what was learned before that was noted. */
  began?: Instant | undefined;
  /** Since when the value has been what it is. */
  since: Instant | undefined;
  /** The longest such time of this week and of the one before, ms. */
  longest: number;
  longestBefore: number;
  week: number;
  /** The smallest step it has shown, K. */
  step: number | undefined;
}

const WEEK = 7 * DAY;
/** Two floating point numbers that were meant to be the same differ by less, K. */
const SAME = 1e-6;

export const createStills = (): Stills => ({
  since: undefined,
  longest: 0,
  longestBefore: 0,
  week: 0,
  step: undefined,
});

/** @param inTouch false when the probe may have moved unheard meanwhile: then nothing is learned */
export function noteStill(
  stills: Stills,
  before: number | undefined,
  value: number,
  at: Instant,
  inTouch: boolean,
): void {
  const step = before === undefined ? 0 : Math.abs(value - before);
  if (stills.since !== undefined && step < SAME && at >= stills.since) return;
  if (stills.since === undefined) stills.began = at;
  const week = Math.floor(at / WEEK);
  if (week !== stills.week) {
    stills.longestBefore = week === stills.week + 1 ? stills.longest : 0;
    stills.longest = 0;
    stills.week = week;
  }
  if (stills.since !== undefined && inTouch && step >= SAME) {
    stills.longest = Math.max(stills.longest, at - stills.since);
    stills.step = Math.min(stills.step ?? step, step);
  }
  stills.since = at;
}

/** The longest time within a week or two that it stood still and moved again; undefined for none. */
export const longestStill = ({ longest, longestBefore }: Stills): Millis | undefined =>
  longest === 0 && longestBefore === 0 ? undefined : (Math.max(longest, longestBefore) as Millis);
