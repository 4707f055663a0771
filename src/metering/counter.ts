import { DAY, type Instant, MINUTE, SECOND, type WattHours } from '../units/index.ts';
import { advance } from './integrate.ts';
import type { MeterSpec } from './meter.ts';
import { closeOpen, forgetPending, isEstimated } from './pending.ts';
import { type Part, settle } from './settle.ts';
import { maxGap } from './silence.ts';
import { type CounterDraft, type CounterState, note, type Suspect, type Work } from './state.ts';

/** Mains voltage and the plug's own error allow this much beyond the stated limit. */
export const LIMIT_MARGIN = 1.2;
/** The coarsest step a plug's counter has, Wh: believed until a smaller one is seen. */
const COARSEST_STEP = 100;
/** Some plugs refresh their counter this seldom, though they send it more often. */
const LONGEST_REFRESH = 15 * MINUTE;
/** Differences of decimal fractions are off by less than this, Wh: the same step is no larger one. */
const NOISE = 0.0005;
/** Longer than this, energy cannot be placed in time, and it is rather the clock that jumped. */
const LONGEST_SPREAD = 62 * DAY;
/**
 * A broker that kept messages while we were away delivers them at once, with hardly any time in
 * between: readings that follow each other so closely, for so long, may share the time of the
 * silence before them.
 */
const BACKLOG_PAUSE = 5 * SECOND;
const LONGEST_BACKLOG = MINUTE;
/** Nor is a drop confirmed sooner: a broker may deliver again what had been taken in already. */
const DROP_LASTS = SECOND;
/** Beyond this, a counter is no longer exact to the mWh. */
const LARGEST = Number.MAX_SAFE_INTEGER / 1000;

export function takeCounter(work: Work, at: Instant, wh: WattHours, retained: boolean): void {
  const { state } = work;
  if (Math.abs(wh) > LARGEST) {
    note(work, 'leap-suspected', at, state.counter?.wh, wh);
    return;
  }
  advance(work, at, undefined);
  const counter = state.counter;
  if (counter === null) {
    // How old a retained value is, nobody knows: nothing beyond elapsed time × limit is believed.
    state.counter = firstRead(at, wh, retained ? 0 : null);
    note(work, 'baseline', at, undefined, wh);
    return;
  }
  if (Math.max(at, state.until ?? at) - counter.at > LONGEST_SPREAD) {
    forgetPending(state);
    state.suspect = null;
    state.counter = firstRead(at, wh, counter.step);
    note(work, 'clock-rebased', at, counter.at, at);
    return;
  }

  const kind = suspicion(work.spec, counter, wh, at);
  const suspect = state.suspect;
  if (kind === undefined) {
    if (suspect !== null) {
      note(work, `${suspect.kind}-glitch`, at, suspect.wh, wh);
      state.suspect = null;
    }
    follow(work, counter, at, wh);
  } else if (suspect !== null && agrees(work.spec, counter, suspect, wh, at)) {
    if (suspect.kind === 'drop' && at - suspect.at < DROP_LASTS) return;
    follow(work, believe(work, counter, suspect), at, wh);
  } else {
    closeOpen(state);
    state.suspect = { kind, at, wh, runs: state.runs.length, gaps: state.gaps.length };
    note(work, `${kind}-suspected`, at, counter.wh, wh);
  }
}

const firstRead = (at: Instant, wh: WattHours, step: number | null): CounterDraft => ({
  at,
  wh,
  moved: at,
  step,
  hushed: { at, wh, until: at },
});

/** What is wrong with `wh` after `counter`, if anything. */
function suspicion(
  spec: MeterSpec,
  counter: CounterState,
  wh: number,
  at: Instant,
): Suspect['kind'] | undefined {
  if (wh < counter.wh) return 'drop';
  return wh - counter.wh > mostSince(spec, counter, at) + NOISE ? 'leap' : undefined;
}

/** The most the plug can have counted since the last reading, Wh. */
function mostSince(spec: MeterSpec, counter: CounterState, at: Instant): number {
  const refreshed = counter.step === 0 ? 0 : Math.min(at - counter.moved, LONGEST_REFRESH);
  const elapsed = Math.max(at - counter.at, refreshed);
  const carried = (span: number): number => (spec.limit * LIMIT_MARGIN * span) / 3_600_000;
  const { hushed } = counter;
  const left = isBacklog(counter, at) ? carried(at - hushed.at) - (counter.wh - hushed.wh) : 0;
  return Math.max(carried(elapsed), left) + (counter.step ?? COARSEST_STEP);
}

const isBacklog = (counter: CounterState, at: Instant): boolean =>
  at - counter.at < BACKLOG_PAUSE && at - counter.hushed.until < LONGEST_BACKLOG;

function agrees(
  spec: MeterSpec,
  counter: CounterState,
  suspect: Suspect,
  wh: number,
  at: Instant,
): boolean {
  const from = firstRead(suspect.at, suspect.wh, counter.step);
  return suspicion(spec, from, wh, at) === undefined;
}

/** Books the difference to the last reading. While an unmoved counter has samples beside it, they stand. */
function follow(work: Work, counter: CounterDraft, at: Instant, wh: WattHours): void {
  const { state } = work;
  const rise = wh - counter.wh;
  const step = counter.step || null;
  if (rise !== 0) closePart(work, position(wh) - position(counter.wh), at);
  else if (!isEstimated(state)) closePart(work, 0, at);
  if (!isBacklog(counter, at)) {
    const { hushed } = counter;
    hushed.at = counter.at;
    hushed.wh = counter.wh;
    hushed.until = at;
  }
  counter.at = at;
  counter.wh = wh;
  counter.step = rise === 0 ? step : Math.min(step ?? rise, rise);
  if (rise !== 0) counter.moved = at;
  state.counter = counter;
}

function closePart(work: Work, energy: number, at: Instant): void {
  const { state } = work;
  const runs = state.open === null ? state.runs : [...state.runs, state.open];
  const excess = Math.max(state.kept - energy, 0);
  settle(work, { runs, gaps: state.gaps }, Math.max(energy - state.kept, 0), at);
  forgetPending(state);
  // What was booked beyond this step is part of a later one.
  state.kept = excess;
}

/**
 * Decides what a confirmed drop or leap was, settles or lets go of what was pending before it, and
 * gives the baseline to go on from: the suspected reading itself.
 */
function believe(work: Work, counter: CounterState, suspect: Suspect): CounterDraft {
  const { spec, state } = work;
  const before: Part = {
    runs: state.runs.slice(0, suspect.runs),
    gaps: state.gaps.slice(0, suspect.gaps),
  };
  const found = explain(spec, counter, suspect);
  note(work, found.event, suspect.at, counter.wh, suspect.wh);
  if (found.energy !== undefined) {
    // What was drawn before a restart is lost with the old count: a long gap stays a gap.
    const claimed = found.event === 'counter-reset' ? maxGap(spec, state.usual) : undefined;
    settle(work, before, Math.max(found.energy - state.kept, 0), suspect.at, claimed);
  }
  state.runs = state.runs.slice(suspect.runs);
  state.gaps = state.gaps.slice(suspect.gaps);
  state.kept = 0;
  state.suspect = null;
  return firstRead(suspect.at, suspect.wh, counter.step || null);
}

interface Explained {
  readonly event: 'leap-rebased' | 'counter-wrapped' | 'counter-reset' | 'counter-rolled-back';
  /** mWh to book up to the suspected reading; undefined where nothing can be said. */
  readonly energy: number | undefined;
}

function explain(spec: MeterSpec, counter: CounterState, suspect: Suspect): Explained {
  if (suspect.kind === 'leap') return { event: 'leap-rebased', energy: undefined };
  const most = mostSince(spec, counter, suspect.at);
  const width = spec.counterWrapsAt;
  if (width !== undefined && counter.wh <= width && suspect.wh >= 0) {
    const rise = width - counter.wh + suspect.wh;
    const energy = position(width) - position(counter.wh) + position(suspect.wh);
    if (rise <= most) return { event: 'counter-wrapped', energy };
  }
  const isNearZero = suspect.wh >= 0 && suspect.wh <= most;
  const restarts = spec.counterRestarts !== 'never' || suspect.wh <= counter.wh / 10;
  return isNearZero && restarts
    ? { event: 'counter-reset', energy: position(suspect.wh) }
    : { event: 'counter-rolled-back', energy: undefined };
}

/** Where a counter stands, in whole mWh: differences of positions add up without drift. */
const position = (wh: number): number => Math.round(wh * 1000);
