import type { Instant, WattHours } from '../units/index.ts';
import {
  begunAnew,
  type Explained,
  explain,
  firstRead,
  judge,
  type Lag,
  lagOf,
  midnightOf,
  moveOn,
  position,
} from './belief.ts';
import { noteLost } from './bridge.ts';
import { goOnAhead, isTooFarAhead } from './clock.ts';
import { advance } from './integrate.ts';
import { cutAt } from './midnight.ts';
import { closeOpen, forgetPending, isEstimated, pendingPart } from './pending.ts';
import { settle } from './settle.ts';
import { maxGap } from './silence.ts';
import {
  type CounterDraft,
  type CounterState,
  note,
  type Part,
  type Suspect,
  type Work,
} from './state.ts';
import { freed, isToBeStuck, stick } from './stuck.ts';

/** A reading of a plug's only counter. */
export function takeCounter(
  work: Work,
  at: Instant,
  wh: WattHours,
  arrived: Instant,
  retained: boolean,
): void {
  const { spec, state } = work;
  const lag = lagOf(at, arrived);
  advance(work, at, undefined);
  const counter = state.counter;
  if (counter === null) {
    // How old a retained value is, nobody knows: nothing beyond elapsed time × limit is believed.
    state.counter = firstRead(spec, { at, wh, lag }, retained ? 0 : null);
    note(work, 'baseline', at, undefined, wh);
    return;
  }
  if (isTooFarAhead(state, counter, at)) goOnAhead(work, counter, at, wh, arrived);
  decide(work, state.counter ?? counter, at, wh, lag);
}

function decide(work: Work, counter: CounterDraft, at: Instant, wh: WattHours, lag: Lag): void {
  const { state } = work;
  const { suspect } = state;
  const verdict = judge(work.spec, counter, suspect, wh, at);
  if (verdict === 'believed') {
    if (suspect !== null) {
      note(work, `${suspect.kind}-glitch`, at, suspect.wh, wh);
      state.suspect = null;
    }
    follow(work, counter, at, wh, lag);
  } else if (verdict === 'restarted') {
    state.suspect = null;
    restart(work, counter, at, wh, lag);
  } else if (verdict === 'confirmed' && suspect !== null) {
    follow(work, believe(work, counter, suspect), at, wh, lag);
  } else if (verdict === 'drop' || verdict === 'leap') {
    closeOpen(state);
    const [runs, gaps] = [state.runs.length, state.gaps.length];
    state.suspect = { kind: verdict, at, wh, runs, gaps };
    note(work, `${verdict}-suspected`, at, counter.wh, wh);
  }
}

/** Books the difference to the last reading. While an unmoved counter has samples beside it, they stand. */
function follow(work: Work, counter: CounterDraft, at: Instant, wh: WattHours, lag: Lag): void {
  const { state } = work;
  const isMoved = wh !== counter.wh;
  if (state.standing !== undefined) {
    if (isMoved) freed(work, counter, position(wh) - position(counter.wh), at);
    else stick(work);
  } else if (isMoved) {
    book(work, pendingPart(state), position(wh) - position(counter.wh), at);
  } else if (!isEstimated(state)) {
    book(work, pendingPart(state), 0, at);
  } else if (isToBeStuck(state, counter, at)) {
    stick(work);
    note(work, 'counter-stuck', at, counter.wh, (state.standing ?? 0) / 1000);
  }
  moveOn(counter, at, wh, lag);
  state.counter = counter;
}

/** Settles all that is pending by what was counted meanwhile. */
export function book(work: Work, part: Part, energy: number, at: Instant): void {
  const { spec, state } = work;
  if (spec.signed) {
    settle(work, part, energy - state.kept, at);
    forgetPending(state);
    return;
  }
  const excess = Math.max(state.kept - energy, 0);
  settle(work, part, Math.max(energy - state.kept, 0), at);
  forgetPending(state);
  // What was booked beyond this step is part of a later one.
  state.kept = excess;
}

/** A count that began anew at a midnight while nobody looked: what it shows was drawn since then. */
function restart(work: Work, counter: CounterState, at: Instant, wh: WattHours, lag: Lag): void {
  const { spec, state } = work;
  const midnight = midnightOf(spec, counter, wh, at) ?? at;
  note(work, 'counter-reset', at, counter.wh, wh);
  const { before, after } = cutAt(pendingPart(state), midnight);
  noteLost(work, before.gaps);
  settle(work, after, Math.max(position(wh) - (state.standing ?? 0), 0), at);
  forgetPending(state);
  state.standing = undefined;
  state.counter = { ...firstRead(spec, { at, wh, lag }, counter.step || null), since: midnight };
}

/**
 * Decides what a confirmed drop or leap was, settles or lets go of what was pending before it, and
 * gives the baseline to go on from: the suspected reading itself.
 */
function believe(work: Work, counter: CounterState, suspect: Suspect): CounterDraft {
  const { spec, state } = work;
  const pending: Part = {
    runs: state.runs.slice(0, suspect.runs),
    gaps: state.gaps.slice(0, suspect.gaps),
  };
  state.runs = state.runs.slice(suspect.runs);
  state.gaps = state.gaps.slice(suspect.gaps);
  const found = explain(spec, counter, suspect);
  note(work, found.event, suspect.at, counter.wh, suspect.wh);
  state.kept = settleBefore(work, counter, suspect, found, pending);
  state.standing = undefined;
  state.suspect = null;
  const from = firstRead(spec, { ...suspect, lag: counter.lag }, counter.step || null);
  return found.since === undefined ? from : { ...from, since: found.since };
}

/** Settles what was pending before a suspected reading; what a later step still owes, mWh. */
function settleBefore(
  work: Work,
  counter: CounterState,
  suspect: Suspect,
  { event, energy, since }: Explained,
  pending: Part,
): number {
  const { spec, state } = work;
  const stands = state.standing ?? 0;
  if (energy === undefined) {
    noteLost(work, pending.gaps);
    return 0;
  }
  // What was drawn before a restart is lost with the old count: samples stand for it, and a long
  // gap stays a gap.
  const leave = event === 'counter-reset' ? Number.POSITIVE_INFINITY : 0;
  if (since !== undefined) {
    const { before, after } = cutAt(pending, begunAnew(spec, counter, suspect, since));
    noteLost(work, before.gaps);
    settle(work, after, Math.max(energy - stands, 0), suspect.at, { leave });
    return 0;
  }
  const due = energy - state.kept - stands;
  const claimed = event === 'counter-reset' ? maxGap(spec, state.usual) : undefined;
  settle(work, pending, spec.signed ? due : Math.max(due, 0), suspect.at, { claimed, leave });
  const isOwed = event === 'counter-wrapped' && !spec.signed && state.standing === undefined;
  return isOwed ? Math.max(-due, 0) : 0;
}
