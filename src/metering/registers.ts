import type { Instant, WattHours } from '../units/index.ts';
import {
  begunAnew,
  explain,
  firstRead,
  judge,
  type Lag,
  lagOf,
  midnightOf,
  moveOn,
  position,
} from './belief.ts';
import { goOnAhead, isTooFarAhead, setRegister } from './clock.ts';
import { advance } from './integrate.ts';
import type { MeterSpec } from './meter.ts';
import { forgetPending, isEstimated } from './pending.ts';
import { closeRound, cutRound } from './round.ts';
import { spreadEvenly } from './settle.ts';
import {
  type CounterDraft,
  type CounterState,
  type Draft,
  note,
  type RegisterState,
  type Suspect,
  type Work,
} from './state.ts';

/*
 * Power samples belong to the sum of a plug's registers, so that no single register can settle
 * them. Each is believed or doubted on its own; what it has risen by waits until all have been
 * heard. Then the round is closed: the sum settles what was sampled meanwhile. Where nothing was
 * sampled, nobody waits for a register that may have nothing to say.
 */

/** A reading of one of a plug's counters. */
export function takeRegister(
  work: Work,
  id: string,
  at: Instant,
  wh: WattHours,
  arrived: Instant,
  retained: boolean,
): void {
  const { spec, state } = work;
  const lag = lagOf(at, arrived);
  endRound(work, at, id);
  const known = state.registers?.[id];
  advance(work, at, undefined);
  state.counter ??= firstRead(spec, { at, wh: 0 as WattHours, lag }, null);
  if (isTooFarAhead(state, state.counter, at)) {
    const from = known?.counter ?? state.counter;
    goOnAhead(work, from, at, known === undefined ? from.wh : wh, arrived);
  }
  if (known === undefined) {
    note(work, 'baseline', at, undefined, wh, id);
    const counter = firstRead(spec, { at, wh, lag }, retained ? 0 : null);
    put(work, id, { counter, suspect: null, risen: 0, heard: true, complete: false });
  } else {
    decide(work, id, state.registers?.[id] ?? known, at, wh, lag);
  }
  const before = known?.suspect ?? known?.counter;
  if (areHeard(work) && !isOneDue(work, at, before?.at)) closeRound(work, at);
}

/** Closes a round that waits for nothing more, before anything of a later time is taken in. */
export function endRound(work: Work, at: Instant, id?: string): void {
  const { state } = work;
  if (state.until === null || at <= state.until) return;
  const isNext = id !== undefined && state.registers?.[id]?.heard && !isEstimated(state);
  if (isNext || areHeard(work)) closeRound(work, state.until);
}

const areHeard = ({ spec, state }: Work): boolean =>
  [...(spec.registers?.keys() ?? [])].every((id) => state.registers?.[id]?.heard);

/**
 * Whether a register that was read together with this one the last time is still to come: one
 * message brings them all, and its rounds are to end where it ends.
 */
const isOneDue = ({ state }: Work, at: Instant, before: Instant | undefined): boolean =>
  before !== undefined &&
  Object.values(state.registers ?? {}).some(
    ({ counter }) => counter.at < at && counter.at <= before,
  );

function decide(
  work: Work,
  id: string,
  register: RegisterState,
  at: Instant,
  wh: WattHours,
  lag: Lag,
): void {
  const { spec } = work;
  const { counter, suspect } = register;
  const verdict = judge(spec, counter, suspect, wh, at);
  if (verdict === 'believed') {
    if (suspect !== null) note(work, `${suspect.kind}-glitch`, at, suspect.wh, wh, id);
    follow(work, id, register, at, wh, lag);
  } else if (verdict === 'restarted') {
    note(work, 'counter-reset', at, counter.wh, wh, id);
    const since = midnightOf(spec, counter, wh, at) ?? at;
    beginAnew(work, id, counter, { at, wh, lag }, since, since);
  } else if (verdict === 'confirmed' && suspect !== null) {
    believe(work, id, register, suspect);
    follow(work, id, work.state.registers?.[id] ?? register, at, wh, lag);
  } else if (verdict === 'drop' || verdict === 'leap') {
    note(work, `${verdict}-suspected`, at, counter.wh, wh, id);
    put(work, id, { ...register, suspect: { kind: verdict, at, wh, runs: 0, gaps: 0 } });
  }
}

function follow(
  work: Work,
  id: string,
  register: RegisterState,
  at: Instant,
  wh: WattHours,
  lag: Lag,
): void {
  const { counter } = register;
  const rise = position(wh) - position(counter.wh);
  const risen = register.risen + inRound(work, id, counter.at, at, rise);
  const next: CounterDraft = { ...counter, hushed: { ...counter.hushed } };
  moveOn(next, at, wh, lag);
  put(work, id, { ...register, counter: next, suspect: null, risen, heard: true });
}

/** Decides what a confirmed drop or leap was, and goes on from the suspected reading. */
function believe(work: Work, id: string, register: RegisterState, suspect: Suspect): void {
  const { spec } = work;
  const { counter } = register;
  const { event, energy = 0, since } = explain(spec, counter, suspect);
  note(work, event, suspect.at, counter.wh, suspect.wh, id);
  const read = { at: suspect.at, wh: suspect.wh, lag: counter.lag };
  if (since !== undefined) {
    beginAnew(work, id, counter, read, begunAnew(spec, counter, suspect, since), since);
    return;
  }
  const next = firstRead(spec, read, counter.step || null);
  const risen = register.risen + inRound(work, id, counter.at, suspect.at, energy);
  const complete = register.complete && event === 'counter-wrapped';
  put(work, id, { ...register, counter: next, suspect: null, risen, complete });
}

/** A register that restarts at midnight: the round before it ends there. */
function beginAnew(
  work: Work,
  id: string,
  counter: CounterState,
  read: Pick<CounterState, 'at' | 'wh' | 'lag'>,
  from: Instant,
  since: Instant,
): void {
  cutRound(work, from);
  const next = { ...firstRead(work.spec, read, counter.step || null), since };
  const risen = inRound(work, id, from, read.at, position(read.wh));
  put(work, id, { counter: next, suspect: null, risen, heard: true, complete: true });
}

/**
 * The part of a rise that belongs to the round, with its sign in the sum. What a register that was
 * late has counted before falls evenly into its own time, which the others have settled already.
 */
function inRound(work: Work, id: string, from: Instant, at: Instant, rise: number): number {
  const { spec, state } = work;
  const energy = rise * (spec.registers?.get(id) ?? 1);
  const settled = state.counter?.at ?? from;
  if (from >= settled || energy === 0) return energy;
  const end = Math.min(settled, at) as Instant;
  const before = at > from ? Math.round((energy * (end - from)) / (at - from)) : energy;
  spreadEvenly(work, from, end, before);
  return energy - before;
}

function put(work: Work, id: string, register: RegisterState): void {
  setRegister(work.state, id, register);
}

/** Lets go of counters that the plug's config no longer has: those that it has begin anew. */
export function fitRegisters(spec: MeterSpec, state: Draft): void {
  const has = state.registers !== undefined;
  if (has === (spec.registers !== undefined) || state.counter === null) return;
  state.registers = undefined;
  state.counter = null;
  state.suspect = null;
  state.standing = undefined;
  forgetPending(state);
}
