import {
  DAY,
  type Instant,
  type Millis,
  type MilliwattHours,
  SLOT,
  slotOf,
} from '../units/index.ts';
import { bridge, leaveBlank } from './bridge.ts';
import { remember } from './pending.ts';
import { learnInterval, maxGap } from './silence.ts';
import type { Work } from './state.ts';

/**
 * Accounts for the time up to `to`. Every reading of the plug, of power or of its counter, shows
 * that it is on the air, so the last sample holds until then. Only a power sample that just arrived
 * gives a plug that reports at intervals a line to draw; up to a counter reading its power holds.
 */
export function advance(work: Work, to: Instant, arriving: number | undefined): void {
  const { spec, state } = work;
  const from = state.until;
  if (from === null) {
    state.until = to;
    return;
  }
  const span = to - from;
  if (span <= 0) return;
  state.until = to;

  const power = state.power;
  if (power === null) {
    leaveBlank(work, from, to);
  } else if (!power.holds) {
    leaveBlank(work, from, to);
    return;
  } else if (span <= maxGap(spec, state.usual)) {
    const end = spec.reporting === 'interval' && arriving !== undefined ? arriving : power.watts;
    integrate(work, from, to, power.watts, end);
  } else {
    bridge(work, from, to, power.watts);
  }
  state.usual = learnInterval(state.usual, span);
}

/** Books a line from `start` to `end` watts, cut at slot boundaries. */
function integrate(work: Work, from: Instant, to: Instant, start: number, end: number): void {
  const slope = (end - start) / (to - from);
  let at = from;
  let watts = start;
  while (at < to) {
    const slot = slotOf(at);
    const cut = Math.min(slot + SLOT, to) as Instant;
    const cutWatts = cut === to ? end : start + slope * (cut - from);
    integrateWithin(work, slot, cut - at, watts, cutWatts);
    at = cut;
    watts = cutWatts;
  }
}

function integrateWithin(
  work: Work,
  slot: Instant,
  span: number,
  start: number,
  end: number,
): void {
  const { spec, state } = work;
  const watts = (start + end) / 2;
  const position = state.crumb + (watts * span) / 3600;
  const energy = Math.round(position) + 0;
  const drawing = timeAbove(spec.drawing, span, start, end);
  state.crumb = position - energy;
  work.postings.push({
    slot,
    known: 'integrated',
    energy: energy as MilliwattHours,
    spread: 0 as MilliwattHours,
    covered: span as Millis,
    drawing: drawing as Millis,
  });
  remember(state, slot, energy, span, drawing);

  const { mean } = state;
  const weight = span / (mean.time + span);
  mean.time = Math.min(mean.time + span, DAY) as Millis;
  mean.watts += weight * (watts - mean.watts);
  mean.duty += weight * (drawing / span - mean.duty);
}

function timeAbove(threshold: number, span: number, start: number, end: number): number {
  if (start > threshold && end > threshold) return span;
  if (start <= threshold && end <= threshold) return 0;
  return Math.round((span * (Math.max(start, end) - threshold)) / Math.abs(end - start));
}
