import {
  type Instant,
  type Millis,
  type MilliwattHours,
  SLOT,
  slotOf,
  slotPieces,
} from '../units/index.ts';
import { postBridged } from './bridge.ts';
import type { Gap, Run, Work } from './state.ts';

/**
 * How far power samples and the counter of one meter may differ. Three days of AMPds2 differ by
 * 0.3 to 10 % (tests/reference/power/expected.json).
 */
const SAMPLES_UNSURE = 0.05;
/** A gap may hide at least this much, W: the standby below which many plugs read nothing. */
const GAP_UNSURE = 1;

/** Pending spans that a step of the counter settles. */
export interface Part {
  readonly runs: readonly Run[];
  readonly gaps: readonly Gap[];
}

/**
 * Books what the counter says was drawn during `part`, exactly, and withdraws what had been booked
 * by estimate. Sampled time gets its energy in proportion to the samples. A gap gets what the
 * samples leave over, with the difference between the counter and all estimates going where the
 * estimate is least sure; inside a gap it is spread evenly.
 *
 * @param energy whole mWh, not negative
 * @param until for a step without any time of its own
 * @param claimed gaps up to this long count as covered; longer ones keep the hole in their coverage
 */
export function settle(
  work: Work,
  part: Part,
  energy: number,
  until: Instant,
  claimed = Number.POSITIVE_INFINITY,
): void {
  let sampled = 0;
  let sampledTime = 0;
  for (const [, slots, energyEach, coveredEach] of part.runs) {
    sampled += slots * energyEach;
    sampledTime += slots * coveredEach;
  }
  let estimate = 0;
  let gapTime = 0;
  for (const [from, to, , watts] of part.gaps) {
    estimate += (watts * (to - from)) / 3600;
    gapTime += to - from;
  }

  if (sampledTime + gapTime === 0) {
    if (energy > 0) count(work, slotOf((until - 1) as Instant), energy, 0, 0, 0);
    return;
  }
  const inGaps = gapTime === 0 ? 0 : gapShare(energy, sampled, sampledTime, estimate, gapTime);
  settleSampled(work, part.runs, energy - inGaps, sampled, sampledTime);
  settleGaps(work, part.gaps, inGaps, gapTime, claimed);
}

function gapShare(
  energy: number,
  sampled: number,
  sampledTime: number,
  estimate: number,
  gapTime: number,
): number {
  if (sampledTime === 0) return energy;
  const unsureSampled = SAMPLES_UNSURE * sampled;
  const unsureGap = estimate + (GAP_UNSURE * gapTime) / 3600;
  const weight = unsureGap ** 2 / (unsureSampled ** 2 + unsureGap ** 2);
  const share = Math.round(estimate + weight * (energy - sampled - estimate));
  return Math.min(Math.max(share, 0), energy);
}

function settleSampled(
  work: Work,
  runs: readonly Run[],
  energy: number,
  sampled: number,
  sampledTime: number,
): void {
  const byTime = sampled === 0;
  const whole = byTime ? sampledTime : sampled;
  const first = runs[0]?.[0];
  const acrossSlots = runs.some(([slot, slots]) => slot !== first || slots > 1);
  let weight = 0;
  let booked = 0;
  for (const [start, slots, energyEach, covered, drawing] of runs) {
    for (let i = 0; i < slots; i++) {
      const slot = (start + i * SLOT) as Instant;
      weight += byTime ? covered : energyEach;
      const position = Math.round(energy * (weight / whole));
      const share = position - booked;
      booked = position;
      work.postings.push({
        slot,
        known: 'integrated',
        energy: (0 - energyEach) as MilliwattHours,
        spread: 0 as MilliwattHours,
        covered: (0 - covered) as Millis,
        drawing: (0 - drawing) as Millis,
      });
      count(work, slot, share, byTime && acrossSlots ? share : 0, covered, drawing);
    }
  }
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
    const isClaimed = gap[1] - gap[0] <= claimed;
    for (const piece of slotPieces(gap[0], gap[1])) {
      const span = piece.to - piece.from;
      time += span;
      const position = Math.round(energy * (time / gapTime));
      const share = position - booked;
      booked = position;
      const drawing =
        onWatts !== undefined && onWatts > 0
          ? Math.min(span, Math.round((share * 3600) / onWatts))
          : isDrawing
            ? span
            : 0;
      const covered = isClaimed ? span : 0;
      count(work, piece.slot, share, acrossSlots ? share : 0, covered, isClaimed ? drawing : 0);
    }
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
