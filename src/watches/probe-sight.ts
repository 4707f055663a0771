import { HOUR, type Instant, MINUTE, type Millis } from '../units/index.ts';
import { createSource, noteVoice, type SourceSight } from './source-sight.ts';
import { createStills, noteStill, type Stills } from './stills.ts';
import { createTrail, noteOnTrail, type Trail } from './trail.ts';

/** What is known of one probe. Temperatures in °C. */
export interface ProbeSight extends SourceSight {
  /** The last three values as they came, newest first. */
  readonly raw: number[];
  temperatureAt: Instant | undefined;
  /** Median of the last three: one wrong sample never shows. */
  settled: number | undefined;
  readonly trail: Trail;
  /** At most two marks, ten minutes apart, newest first, against which a jump is seen. */
  readonly marks: Mark[];
  /** When it last moved faster than water can. */
  jumped: Instant | undefined;
  readonly stills: Stills;
}

interface Mark {
  readonly at: Instant;
  readonly value: number;
}

export const createProbeSight = (id: string, cell: Millis): ProbeSight => ({
  ...createSource(id),
  raw: [],
  temperatureAt: undefined,
  settled: undefined,
  trail: createTrail(cell),
  marks: [],
  jumped: undefined,
  stills: createStills(),
});

/** The first two values count only if they agree, K. */
const AGREE = 1;
const MARK_EVERY = 10 * MINUTE;
/** A probe that moves so far at once, K, has been moved, or the water around it. Estimate. */
const JUMP = 1.5;

function median([a, b, c]: readonly number[]): number | undefined {
  if (a === undefined || b === undefined) return undefined;
  if (c === undefined) return Math.abs(a - b) <= AGREE ? (a + b) / 2 : undefined;
  return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
}

function isJump(mark: Mark | undefined, at: Instant, value: number, fastest: number): boolean {
  if (mark === undefined) return false;
  const by = Math.abs(value - mark.value);
  return by >= JUMP && by * HOUR >= fastest * (at - mark.at);
}

/**
 * Folds a temperature in.
 * @param fastest what it measures cannot move faster than this by itself, K/h
 */
export function noteTemperature(
  probe: ProbeSight,
  value: number,
  at: Instant,
  fastest: number,
): void {
  const { raw, inTouch } = probe;
  noteVoice(probe, at);
  // The same sample sent again must not outvote the others.
  if (at === probe.temperatureAt && value === raw[0]) return;
  noteStill(probe.stills, raw[0], value, at, inTouch);
  if (raw.length === 3) raw.pop();
  raw.unshift(value);
  probe.temperatureAt = at;
  const settled = median(raw);
  probe.settled = settled;
  if (settled === undefined) return;
  noteOnTrail(probe.trail, at, settled);
  mark(probe, settled, at, fastest);
}

function mark(probe: ProbeSight, value: number, at: Instant, fastest: number): void {
  const { marks } = probe;
  const [last, before] = marks;
  if (isJump(last, at, value, fastest) || isJump(before, at, value, fastest)) {
    probe.jumped = at;
    marks.length = 0;
  }
  if (marks[0] === undefined || at - marks[0].at >= MARK_EVERY) {
    marks.unshift({ at, value });
    if (marks.length > 2) marks.pop();
  }
}

/** A probe that reports on change stands by its last word after this long. */
const STANDS_BY_ITS_WORD = (15 * MINUTE) as Millis;

/** The temperature as of now, °C, without single wrong samples; undefined before two agree. */
export function temperatureOf(
  probe: ProbeSight,
  now: Instant,
  usual: Millis | undefined,
): number | undefined {
  if (probe.temperatureAt === undefined) return undefined;
  const patience = Math.max(STANDS_BY_ITS_WORD, 1.5 * (usual ?? 0));
  return now - probe.temperatureAt > patience ? probe.raw[0] : probe.settled;
}
