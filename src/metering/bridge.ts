import {
  type Calendar,
  HOUR,
  type Instant,
  type Millis,
  type MilliwattHours,
  slotPieces,
} from '../units/index.ts';
import { bridgedEnergy, rememberGap } from './pending.ts';
import { maxGap } from './silence.ts';
import { type Gap, note, type Work } from './state.ts';

/** An hour is the longest anyone should believe an estimate. */
const LONGEST_BRIDGE = HOUR;

/**
 * Books a silence that was too long to trust the last sample: thermostats at their mean power, as
 * they switch meanwhile; other loads at their last. After an hour nothing is booked.
 */
export function bridge(work: Work, from: Instant, to: Instant, lastWatts: number): void {
  const { spec, state } = work;
  const byMean = spec.bridge === 'mean-duty' && state.mean.time > 0;
  const watts = byMean ? state.mean.watts : lastWatts;
  const duty = byMean ? state.mean.duty : lastWatts > spec.drawing ? 1 : 0;
  const bridgedTo = Math.min(to, from + LONGEST_BRIDGE) as Instant;
  for (const gap of cutAtMidnight(spec.calendar, [from, to, bridgedTo, watts, duty])) {
    postBridged(work, gap, 1);
    rememberGap(state, gap);
  }
  note(work, 'gap-bridged', from, undefined, bridgedTo - from);
  if (to > bridgedTo) noteUnknown(work, bridgedTo, to);
}

/** A counter that restarts at midnight will settle only what comes after. */
function cutAtMidnight(calendar: Calendar | undefined, gap: Gap): readonly Gap[] {
  const [from, to, bridgedTo, watts, duty] = gap;
  const midnight = calendar?.day(bridgedTo).from;
  if (midnight === undefined || midnight <= from || midnight === bridgedTo) return [gap];
  return [
    [from, midnight, midnight, watts, duty],
    [midnight, to, bridgedTo, watts, duty],
  ];
}

/** Leaves a span open: nothing is known of its power. A counter may settle it later. */
export function leaveBlank(work: Work, from: Instant, to: Instant): void {
  rememberGap(work.state, [from, to, from, 0, 0]);
  noteUnknown(work, from, to);
}

function noteUnknown(work: Work, from: Instant, to: Instant): void {
  if (work.state.counter === null) note(work, 'gap-unknown', from, undefined, to - from);
}

/** Says of spans that no counter will settle any more how much of them is booked nowhere. */
export function noteLost(work: Work, gaps: readonly Gap[]): void {
  const longest = maxGap(work.spec, work.state.usual);
  for (const [, to, bridgedTo] of gaps) {
    if (to - bridgedTo > longest) note(work, 'gap-unknown', bridgedTo, undefined, to - bridgedTo);
  }
}

/** Posts the bridged part of a gap, or with sign −1 withdraws it again, to the same mWh and ms. */
export function postBridged(work: Work, gap: Gap, sign: 1 | -1): void {
  const [from, , bridgedTo, , duty] = gap;
  if (bridgedTo === from) return;
  for (const piece of slotPieces(from, bridgedTo)) {
    const energy = bridgedEnergy(gap, piece.to) - bridgedEnergy(gap, piece.from);
    const covered = piece.to - piece.from;
    work.postings.push({
      slot: piece.slot,
      known: 'bridged',
      energy: (sign * energy + 0) as MilliwattHours,
      spread: 0 as MilliwattHours,
      covered: (sign * covered) as Millis,
      drawing: (sign * Math.round(duty * covered) + 0) as Millis,
    });
  }
}
