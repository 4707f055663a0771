import { HOUR, type Instant, MINUTE, type Millis } from '../units/index.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import type { GearInput } from './gear-view.ts';
import { type Latch, latch, openLatch } from './latch.ts';
import { accepted, bandsOf, beyond } from './level-shift.ts';
import type { Spread, UsualPower } from './usual-power.ts';
import { note, type PlugVoice } from './views.ts';

export type PumpLaboringReason =
  | 'draws-far-more' // for a quarter of an hour
  | 'draws-far-less'
  | 'draws-more' // for a day
  | 'draws-less'
  | 'as-usual'
  | 'stopped' // pump-stopped speaks of that
  | 'off-by-plan'
  | 'not-learned' // a week's usual power, or most of it
  | Exclude<PlugVoice, 'speaks'>;

export interface PumpLaboringState {
  readonly changed: Latch;
  readonly urgent: Latch;
  /** What it drew before it changed, kept so long as the change stands. */
  readonly against: Spread | undefined;
}

export interface PumpLaboringInput extends GearInput {
  readonly usual: UsualPower;
}

const easy: PumpLaboringState = { changed: openLatch, urgent: openLatch, against: undefined };

/** The median of a day has moved once half a day has: that much less is left to wait. */
const MEDIAN_LAGS = 12 * HOUR;
/** It is over within this part of what raises it. */
const CALM = 0.7;

/** A pump whose load has changed: an impeller that is dirty, blocked or worn, a hose that is. */
export function lookAtPumpLaboring(
  before: PumpLaboringState | undefined,
  input: PumpLaboringInput,
  now: Instant,
): { state: PumpLaboringState; finding: Finding } {
  const state = before ?? easy;
  const { config, gear, usual } = input;
  const rule = config.pump_laboring;
  const hold = Math.max(0, rule.hold_h * HOUR - MEDIAN_LAGS) as Millis;
  const say = (
    next: PumpLaboringState,
    verdict: Finding['verdict'],
    reason: PumpLaboringReason,
    proof: Evidence[],
  ) => ({ state: next, finding: possibleWarning(verdict, reason, proof, hold) });
  if (gear.voice !== 'speaks' || gear.power === undefined) {
    return say(state, 'unknown', gear.voice === 'speaks' ? 'no-power-seen' : gear.voice, []);
  }
  const { lately, all } = usual.levels;
  const urgentBefore = accepted(state.urgent, now);
  const changedBefore = accepted(state.changed, now);
  const stood = urgentBefore.since !== undefined || changedBefore.since !== undefined;
  const reference = (stood ? state.against : undefined) ?? usual.levels.before;
  if (reference === undefined || all === undefined) return say(state, 'unknown', 'not-learned', []);
  const still = gear.power < config.pump_stopped.draws_under * all.median;
  const { main, ever } = bandsOf(reference, rule.change);
  const moment = still ? 0 : beyond(gear.power, ever);
  const day = lately === undefined ? 0 : beyond(lately.median, main);
  const urgent = latch(
    urgentBefore,
    {
      over: Math.abs(moment) >= rule.urgent_change,
      calm: Math.abs(moment) <= CALM * rule.urgent_change,
      hold: rule.urgent_min * MINUTE,
      settle: rule.urgent_min * MINUTE,
    },
    now,
  );
  const changed = latch(
    changedBefore,
    {
      over: Math.abs(day) >= rule.change,
      calm: Math.abs(day) <= CALM * rule.change,
      hold,
      settle: HOUR,
    },
    now,
  );
  const stands = urgent.since !== undefined || changed.since !== undefined;
  const against = stands ? reference : undefined;
  const next =
    urgent === state.urgent && changed === state.changed && against === state.against
      ? state
      : { changed, urgent, against };
  const proof: Evidence[] = [];
  note(proof, 'power', gear.power, 'W', gear.powerAt);
  note(proof, 'day-power', lately?.median, 'W');
  note(proof, 'usual-power', reference.median, 'W');
  if (urgent.since !== undefined && (urgent.held || changed.since === undefined)) {
    note(proof, 'changed-for', now - urgent.since, 'ms', urgent.since);
    const reason = gear.power > reference.median ? 'draws-far-more' : 'draws-far-less';
    const { state: kept, finding } = say(next, 'raised', reason, proof);
    const urgentHold = (rule.urgent_min * MINUTE) as Millis;
    return { state: kept, finding: { ...finding, confidence: 'likely', hold: urgentHold } };
  }
  if (changed.since !== undefined) {
    note(proof, 'changed-for', now - changed.since + MEDIAN_LAGS, 'ms', changed.since);
    const more = (lately?.median ?? gear.power) > reference.median;
    const { finding } = say(next, 'raised', more ? 'draws-more' : 'draws-less', proof);
    return { state: next, finding: { ...finding, severity: 'notice', confidence: 'likely' } };
  }
  const reason = gear.onByPlan === false ? 'off-by-plan' : still ? 'stopped' : 'as-usual';
  return say(next, 'quiet', reason, proof);
}
