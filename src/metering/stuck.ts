import { HOUR, type Instant, slotOf } from '../units/index.ts';
import { COARSEST_STEP } from './belief.ts';
import { forgetPending, pendingEnergy, pendingPart } from './pending.ts';
import { spreadEvenly } from './settle.ts';
import { type CounterState, type Draft, note, type Work } from './state.ts';

/** No counter that still counts is refreshed more seldom, and no sparse samples err for longer. */
const LONGEST_STILL = 6 * HOUR;
/** So many of its steps, or of the coarsest where it has shown none, are no step that is yet to come. */
const STEPS_OWED = 5;

/**
 * Whether a counter that is read again and again has stood still for so long, beside samples that
 * say so much, that it counts no more. What was only bridged is no witness, nor is time without any
 * load, nor a single sample that is held and held. One look a slot is enough.
 */
export function isToBeStuck(state: Draft, counter: CounterState, at: Instant): boolean {
  if (slotOf(at) === slotOf(counter.at) || counter.at - counter.moved < LONGEST_STILL) return false;
  const { power } = state;
  if (power === null || power.at - counter.moved < LONGEST_STILL) return false;
  let energy = 0;
  let time = 0;
  for (const [, slots, each, covered] of pendingPart(state).runs) {
    energy += slots * each;
    if (each !== 0) time += slots * covered;
  }
  const step = Math.max(counter.step ?? 0, COARSEST_STEP);
  return time >= LONGEST_STILL && Math.abs(energy) > STEPS_OWED * step * 1000;
}

/** Lets all that was sampled since the counter moved stand for good. */
export function stick({ state }: Work): void {
  state.standing = (state.standing ?? 0) + state.kept + pendingEnergy(state);
  forgetPending(state);
}

/**
 * A stuck counter moves by `energy` mWh. It may have counted unseen or have begun to count only now:
 * what stands is part of its step, and only what is beyond that is booked, exact in amount.
 */
export function freed(work: Work, counter: CounterState, energy: number, at: Instant): void {
  const { state } = work;
  stick(work);
  const stands = state.standing ?? 0;
  const isBeyond = energy * stands >= 0 && Math.abs(energy) > Math.abs(stands);
  if (isBeyond) spreadEvenly(work, counter.moved, at, energy - stands);
  note(work, 'counter-moving', at, counter.wh, stands / 1000);
  state.standing = undefined;
}
