import type { Instant } from '../units/index.ts';
import { noteLost } from './bridge.ts';
import { cutAt } from './midnight.ts';
import { forgetPending, isEstimated, pendingPart } from './pending.ts';
import { settle } from './settle.ts';
import { maxGap } from './silence.ts';
import {
  type CounterDraft,
  note,
  type Part,
  type RegisterState,
  type Run,
  type Work,
} from './state.ts';
import { freed, isToBeStuck, stick } from './stuck.ts';

/**
 * Books what the registers heard in this round have risen by, in place of what was sampled. While
 * none has moved, samples stand. Registers that stand still may owe up to a step each: so much of
 * the samples is left standing. Where a register has lost part of its count, all of the samples
 * that is beyond the others is.
 */
export function closeRound(work: Work, at: Instant): void {
  const { state } = work;
  const heard = registersOf(work).filter(({ heard }) => heard);
  const { counter } = state;
  if (counter === null || heard.length === 0) return;
  const risen = heard.reduce((sum, register) => sum + register.risen, 0);
  const isMoved = heard.some((register) => register.risen !== 0);
  const isComplete = heard.every(({ complete }) => complete);

  if (state.standing !== undefined) {
    if (isMoved) freed(work, counter, risen, at);
    else stick(work);
  } else if (isMoved || !isComplete || !isEstimated(state)) {
    const standing = bookSum(work, pendingPart(state), risen, at, isComplete);
    if (isComplete) state.runs = standing;
  } else if (isToBeStuck(state, counter, at)) {
    stick(work);
    note(work, 'counter-stuck', at, counter.wh, (state.standing ?? 0) / 1000);
  }
  const first = heard.reduce((a, b) => (b.counter.at < a.counter.at ? b : a));
  beginRound(work, counter, first.counter.at);
  counter.lag = first.counter.lag;
  counter.wh = (counter.wh + risen / 1000) as typeof counter.wh;
  if (isMoved) counter.moved = at;
}

/** Ends a round at a midnight, where a register's count began anew: what it had is lost. */
export function cutRound(work: Work, midnight: Instant): void {
  const { state } = work;
  const { counter } = state;
  if (counter === null || counter.at >= midnight) return;
  const { before, after } = cutAt(pendingPart(state), midnight);
  noteLost(work, before.gaps);
  const risen = registersOf(work).reduce((sum, register) => sum + register.risen, 0);
  bookSum(work, before, risen, midnight, false);
  state.runs = after.runs;
  state.gaps = after.gaps;
  state.kept = 0;
  state.standing = undefined;
  beginRound(work, counter, midnight);
}

function bookSum(
  work: Work,
  part: Part,
  risen: number,
  at: Instant,
  isComplete: boolean,
): readonly Run[] {
  const { spec, state } = work;
  const due = spec.signed ? risen - state.kept : Math.max(risen - state.kept, 0);
  const excess = spec.signed ? 0 : Math.max(state.kept - risen, 0);
  const standing = settle(work, part, due, at, {
    leave: isComplete ? owed(work) : Number.POSITIVE_INFINITY,
    claimed: isComplete ? undefined : maxGap(spec, state.usual),
  });
  forgetPending(state);
  state.kept = isComplete ? excess : 0;
  return standing;
}

/** What registers that stand still may have counted towards their next step, mWh. */
function owed({ spec, state }: Work): number {
  let steps = 0;
  for (const [id, sign] of spec.registers ?? []) {
    const register = state.registers?.[id];
    if (sign === 1 && register?.risen === 0) steps += register.counter.step ?? 0;
  }
  return steps * 1000;
}

function beginRound(work: Work, counter: CounterDraft, at: Instant): void {
  const { state } = work;
  const registers: Record<string, RegisterState> = {};
  for (const [id, register] of Object.entries(state.registers ?? {})) {
    registers[id] = { ...register, risen: 0, heard: false, complete: true };
  }
  state.registers = registers;
  counter.at = at;
}

const registersOf = ({ spec, state }: Work): RegisterState[] =>
  [...(spec.registers?.keys() ?? [])].flatMap((id) => state.registers?.[id] ?? []);
