import { type Instant, MINUTE, type Millis } from '../units/index.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import type { GearInput } from './gear-view.ts';
import { type Latch, latch, openLatch } from './latch.ts';
import { note, type PlugVoice } from './views.ts';

export type LightOffPlanReason =
  | 'on-against-plan'
  | 'photoperiod-over' // and so long that the animals' day is
  | 'off-against-plan'
  | 'on-plan'
  | 'no-schedule'
  | Exclude<PlugVoice, 'speaks'>;

export interface LightOffPlanState {
  readonly lit: Latch;
  readonly dark: Latch;
}

const onPlan: LightOffPlanState = { lit: openLatch, dark: openLatch };

/** From this part of its rated power on it shines, and at least from so many watts. */
const SHINES = 0.05;
const LEAST = 0.5;

/** A light that is on or off against its schedule: a timer that stuck, or was not set anew. */
export function lookAtLightOffPlan(
  before: LightOffPlanState | undefined,
  input: GearInput,
  now: Instant,
): { state: LightOffPlanState; finding: Finding } {
  const state = before ?? onPlan;
  const { config, gear } = input;
  const rule = config.light_off_plan;
  const hold = (rule.hold_min * MINUTE) as Millis;
  const say = (
    next: LightOffPlanState,
    verdict: Finding['verdict'],
    reason: LightOffPlanReason,
    proof: Evidence[],
  ) => ({ state: next, finding: possibleWarning(verdict, reason, proof, hold) });
  if (gear.onByPlan === undefined) return say(state, 'unknown', 'no-schedule', []);
  if (gear.voice !== 'speaks' || gear.power === undefined) {
    return say(state, 'unknown', gear.voice === 'speaks' ? 'no-power-seen' : gear.voice, []);
  }
  const shines = gear.power >= Math.max(LEAST, SHINES * gear.nameplate);
  const agrees = shines === gear.onByPlan;
  const settled = { hold, settle: hold };
  const lit = latch(state.lit, { over: shines && !agrees, calm: agrees, ...settled }, now);
  const dark = latch(state.dark, { over: !shines && !agrees, calm: agrees, ...settled }, now);
  const next = lit === state.lit && dark === state.dark ? state : { lit, dark };
  const proof: Evidence[] = [];
  note(proof, 'power', gear.power, 'W', gear.powerAt);
  if (shines ? lit.since !== undefined : dark.since === undefined && lit.since !== undefined) {
    const since = lit.since ?? now;
    note(proof, 'lit-for', now - since, 'ms', since);
    const over = now - since >= rule.photoperiod_over_min * MINUTE;
    const { finding } = say(next, 'raised', over ? 'photoperiod-over' : 'on-against-plan', proof);
    return {
      state: next,
      finding: { ...finding, severity: over ? 'warning' : 'notice', confidence: 'certain' },
    };
  }
  if (dark.since !== undefined) {
    note(proof, 'dark-for', now - dark.since, 'ms', dark.since);
    const { finding } = say(next, 'raised', 'off-against-plan', proof);
    return { state: next, finding: { ...finding, severity: 'notice', confidence: 'likely' } };
  }
  return say(next, 'quiet', 'on-plan', proof);
}
