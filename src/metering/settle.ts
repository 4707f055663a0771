import {
  DAY,
  type Instant,
  type Millis,
  type MilliwattHours,
  SLOT,
  slotOf,
  slotPieces,
} from '../units/index.ts';
import { postBridged } from './bridge.ts';
import type { Gap, Part, Run, Work } from './state.ts';

/**
 * How far power samples and the counter of one meter may differ. Three days of AMPds2 differ by
 * 0.3 to 10 % (tests/reference/power/expected.json).
 */
const SAMPLES_UNSURE = 0.05;
/** A gap may hide at least this much, W: the standby below which many plugs read nothing. */
const GAP_UNSURE = 1;

export interface SettleOptions {
  /** Gaps up to this long count as covered; longer ones keep the hole in their coverage. */
  readonly claimed?: number | undefined;
  /** At most so many of the sampled mWh are left standing, where they are more than was counted. */
  readonly leave?: number;
}

const WHOLLY: SettleOptions = {};
const NONE: readonly Run[] = [];

/**
 * Books what the counter says was drawn during `part`, exactly, and withdraws what had been booked
 * by estimate. Sampled time gets its energy in proportion to the samples. A gap gets what the
 * samples leave over, with the difference between the counter and all estimates going where the
 * estimate is least sure; inside a gap it is spread evenly.
 *
 * @param energy whole mWh; negative only where the plug's energy is signed
 * @param until for a step without any time of its own
 * @returns what was left standing
 */
export function settle(
  work: Work,
  part: Part,
  energy: number,
  until: Instant,
  options: SettleOptions = WHOLLY,
): readonly Run[] {
  const { claimed = Number.POSITIVE_INFINITY, leave = 0 } = options;
  let sampled = 0;
  let size = 0;
  let sampledTime = 0;
  for (const [, slots, energyEach, coveredEach] of part.runs) {
    sampled += slots * energyEach;
    size += slots * Math.abs(energyEach);
    sampledTime += slots * coveredEach;
  }
  let estimate = 0;
  let gapTime = 0;
  for (const [from, to, , watts] of part.gaps) {
    estimate += (watts * (to - from)) / 3600;
    gapTime += to - from;
  }

  if (size === 0 && sampledTime + gapTime === 0) {
    if (energy !== 0) count(work, slotOf((until - 1) as Instant), energy, 0, 0, 0);
    return NONE;
  }
  const left =
    leave === 0 || work.spec.signed
      ? 0
      : Math.min(leave, sampled, Math.max(Math.floor(sampled + estimate - energy), 0));
  const samples = { energy: sampled, size, time: sampledTime };
  const inGaps =
    gapTime === 0 ? 0 : gapShare(work, energy + left, samples, estimate, gapTime, energy);
  if (part.gaps.length > 0) settleGaps(work, part.gaps, inGaps, gapTime, claimed);
  return settleSampled(work, part.runs, energy - inGaps, samples, left);
}

/** What the samples say in all: mWh, mWh without their signs, ms. */
interface Samples {
  readonly energy: number;
  readonly size: number;
  readonly time: number;
}

function gapShare(
  { spec }: Work,
  energy: number,
  samples: Samples,
  estimate: number,
  gapTime: number,
  most: number,
): number {
  if (samples.time === 0 && samples.size === 0) return most;
  const unsureSampled = SAMPLES_UNSURE * samples.size;
  const unsureGap = Math.abs(estimate) + (GAP_UNSURE * gapTime) / 3600;
  const weight = unsureGap ** 2 / (unsureSampled ** 2 + unsureGap ** 2);
  const share = Math.round(estimate + weight * (energy - samples.energy - estimate)) + 0;
  return spec.signed ? share : Math.min(Math.max(share, 0), most);
}

function settleSampled(
  work: Work,
  runs: readonly Run[],
  energy: number,
  samples: Samples,
  left: number,
): readonly Run[] {
  const { signed } = work.spec;
  const byTime = samples.size === 0;
  const whole = byTime ? samples.time : samples.size;
  const first = runs[0]?.[0];
  const acrossSlots = runs.some(([slot, slots]) => slot !== first || slots > 1);
  const standing: Run[] | undefined = left > 0 ? [] : undefined;
  let sampled = 0;
  let weight = 0;
  let booked = 0;
  let leftBefore = 0;
  for (const [start, slots, energyEach, covered, drawing] of runs) {
    for (let i = 0; i < slots; i++) {
      const slot = (start + i * SLOT) as Instant;
      sampled += energyEach;
      weight += byTime ? covered : Math.abs(energyEach);
      const part = weight / whole;
      // Samples of both signs keep theirs: what differs falls to each by its size.
      const position = signed
        ? Math.round(sampled + (energy - samples.energy) * part)
        : Math.round(energy * part);
      const share = position - booked + 0;
      booked = position;
      let stands = 0;
      if (standing !== undefined) {
        const leftPosition = Math.round(left * part);
        stands = leftPosition - leftBefore;
        leftBefore = leftPosition;
        if (stands > 0) standing.push([slot, 1, stands, 0, 0]);
      }
      work.postings.push({
        slot,
        known: 'integrated',
        energy: (stands - energyEach + 0) as MilliwattHours,
        spread: 0 as MilliwattHours,
        covered: (0 - covered) as Millis,
        drawing: (0 - drawing) as Millis,
      });
      count(work, slot, share, byTime && acrossSlots ? share : 0, covered, drawing);
    }
  }
  return standing ?? NONE;
}

function settleGaps(
  work: Work,
  gaps: readonly Gap[],
  energy: number,
  gapTime: number,
  claimed: number,
): void {
  const { mean } = work.state;
  const onWatts = mean.duty > 0 ? mean.watts / mean.duty : undefined;
  const isDrawing = (energy * 3600) / gapTime > work.spec.drawing;
  const first = gaps[0];
  const last = gaps.at(-1);
  const acrossSlots =
    first !== undefined && last !== undefined && last[1] > slotOf(first[0]) + SLOT;
  let time = 0;
  let booked = 0;
  for (const gap of gaps) {
    postBridged(work, gap, -1);
    const isClaimed = gap[5] === undefined && gap[1] - gap[0] <= claimed;
    for (const piece of slotPieces(gap[0], gap[1])) {
      const span = piece.to - piece.from;
      time += span;
      const position = Math.round(energy * (time / gapTime));
      const share = position - booked + 0;
      booked = position;
      const drawing =
        onWatts !== undefined && onWatts > 0
          ? Math.min(span, Math.max(0, Math.round((share * 3600) / onWatts)))
          : isDrawing
            ? span
            : 0;
      const covered = isClaimed ? span : 0;
      count(work, piece.slot, share, acrossSlots ? share : 0, covered, isClaimed ? drawing : 0);
    }
  }
}

/** Far enough back to reach the time of any energy worth placing. */
const LONGEST_SPREAD = 62 * DAY;

/** Books energy of a time that is accounted for already: exact in amount, and spread evenly. */
export function spreadEvenly(work: Work, from: Instant, to: Instant, energy: number): void {
  if (energy === 0) return;
  const start = Math.max(from, to - LONGEST_SPREAD) as Instant;
  if (start >= to) {
    count(work, slotOf((to - 1) as Instant), energy, energy, 0, 0);
    return;
  }
  let booked = 0;
  for (const piece of slotPieces(start, to)) {
    const position = Math.round((energy * (piece.to - start)) / (to - start));
    const share = position - booked + 0;
    booked = position;
    count(work, piece.slot, share, share, 0, 0);
  }
}

function count(
  work: Work,
  slot: Instant,
  energy: number,
  spread: number,
  covered: number,
  drawing: number,
): void {
  work.postings.push({
    slot,
    known: 'counted',
    energy: energy as MilliwattHours,
    spread: spread as MilliwattHours,
    covered: covered as Millis,
    drawing: drawing as Millis,
  });
}
