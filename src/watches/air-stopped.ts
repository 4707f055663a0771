import { type Instant, MINUTE, type Millis } from '../units/index.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import type { GearInput } from './gear-view.ts';
import { type Latch, latch, openLatch } from './latch.ts';
import { accepted, bandsOf, beyond } from './level-shift.ts';
import {
  learnPower,
  runsFrom,
  type Spread,
  type UsualPower,
  unlearnedPower,
} from './usual-power.ts';
import { note, type PlugVoice } from './views.ts';

export type AirStoppedReason =
  | 'draws-nothing'
  | 'draws-less'
  | 'draws-more'
  | 'draws-as-usual'
  | 'off-by-plan'
  | 'under-plug-floor' // its plug cannot tell so little from nothing
  | 'not-learned'
  | Exclude<PlugVoice, 'speaks'>;

export interface AirStoppedState {
  readonly usual: UsualPower;
  readonly changed: Latch;
  /** What it drew before it changed, kept so long as the change stands. */
  readonly against: Spread | undefined;
}

const unseen: AirStoppedState = { usual: unlearnedPower, changed: openLatch, against: undefined };

/** Under this part of its usual power, or of its rated one, it stands still. */
const NOTHING = 0.2;
const CALM = 0.7;

/** Forgets what the air pump usually draws: it was replaced. */
export const forgetAir = (): AirStoppedState => unseen;

/**
 * An air pump that stands still, or whose load has changed: a torn diaphragm, a closed valve. Until
 * its usual power is learned only standing still can be told, against its rated power.
 */
export function lookAtAirStopped(
  before: AirStoppedState | undefined,
  input: GearInput,
  now: Instant,
): { state: AirStoppedState; finding: Finding } {
  let state = before ?? unseen;
  const { config, gear } = input;
  const rule = config.air_stopped;
  const hold = (rule.hold_min * MINUTE) as Millis;
  const say = (verdict: Finding['verdict'], reason: AirStoppedReason, proof: Evidence[]) => ({
    state,
    finding: possibleWarning(verdict, reason, proof, hold),
  });
  if (gear.voice !== 'speaks' || gear.power === undefined) {
    return say('unknown', gear.voice === 'speaks' ? 'no-power-seen' : gear.voice, []);
  }
  const least = runsFrom(state.usual, gear.nameplate, NOTHING);
  const usual = learnPower(state.usual, gear.power, now, least);
  if (usual !== state.usual) state = { ...state, usual };
  const changedBefore = accepted(state.changed, now);
  const stood = changedBefore.since !== undefined ? state.against : undefined;
  const reference = stood ?? usual.levels.before ?? usual.levels.all;
  const expected = reference?.median ?? gear.nameplate;
  if (expected < rule.floor_w) return say('unknown', 'under-plug-floor', []);
  const proof: Evidence[] = [];
  note(proof, 'power', gear.power, 'W', gear.powerAt);
  note(proof, reference === undefined ? 'rated-power' : 'usual-power', expected, 'W');
  if (gear.onByPlan === false) {
    if (state.changed !== openLatch) state = { ...state, changed: openLatch, against: undefined };
    return say('quiet', 'off-by-plan', proof);
  }
  const still = gear.power < NOTHING * expected;
  const by =
    reference === undefined
      ? still
        ? -1
        : 0
      : beyond(gear.power, bandsOf(reference, rule.change).ever);
  const changed = latch(
    changedBefore,
    {
      over: Math.abs(by) >= rule.change,
      calm: Math.abs(by) <= CALM * rule.change,
      hold,
      settle: hold,
    },
    now,
  );
  const against = changed.since === undefined ? undefined : reference;
  if (changed !== state.changed || against !== state.against)
    state = { ...state, changed, against };
  if (changed.since === undefined) {
    return reference === undefined
      ? say('unknown', 'not-learned', proof)
      : say('quiet', 'draws-as-usual', proof);
  }
  note(proof, 'changed-for', now - changed.since, 'ms', changed.since);
  const more = gear.power > expected;
  const { finding } = say(
    'raised',
    still ? 'draws-nothing' : more ? 'draws-more' : 'draws-less',
    proof,
  );
  return {
    state,
    finding: reference === undefined ? finding : { ...finding, confidence: 'likely' },
  };
}
