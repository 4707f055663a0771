import { DAY, HOUR, type Instant, MINUTE, type Millis } from '../units/index.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import type { GearInput } from './gear-view.ts';
import { type Latch, latch, openLatch } from './latch.ts';
import { learnPower, runsFrom, type UsualPower, unlearnedPower } from './usual-power.ts';
import { note, type PlugVoice } from './views.ts';

export type PumpStoppedReason =
  | 'draws-nothing' // a fifth of its usual power, or less
  | 'not-back-after-power' // its plug is back, the pump is not
  | 'runs'
  | 'off-by-plan'
  | 'not-learned' // what it usually draws
  | Exclude<PlugVoice, 'speaks'>;

/** The pump's usual power is kept here; pump-laboring reads it. */
export interface PumpStoppedState {
  readonly usual: UsualPower;
  readonly stopped: Latch;
  /** Since when it stands still, before it is known whether that is a pause. */
  readonly stillSince: Instant | undefined;
  /** Short pauses that ended by themselves, as for feeding. */
  readonly pauses: readonly Pause[];
  /** Its plug was away at the last look. */
  readonly away: boolean;
  /** When it was first heard again after that. */
  readonly returned: Instant | undefined;
}

interface Pause {
  readonly at: Instant;
  readonly length: Millis;
}

export interface PumpStoppedInput extends GearInput {
  /** Another pump or air pump of the same tank is seen to run. */
  readonly anotherRuns: boolean;
}

const unseen: PumpStoppedState = {
  usual: unlearnedPower,
  stopped: openLatch,
  stillSince: undefined,
  pauses: [],
  away: false,
  returned: undefined,
};

/** A pause runs on from here, as a part of the usual power. */
const RESUMES = 0.5;
/** How far above the limit it is over, as a part of the usual power. */
const CLEAR = 0.1;
/** Pauses are for feeding: longer ones are no pause. The rest is judgment, no source. */
const LONGEST_PAUSE = 20 * MINUTE;
const SHORTEST_PAUSE = 2 * MINUTE;
const LONGER_THAN_PAUSE = 1.5;
/** A plug that speaks every five minutes shows a pause longer than it was by as much. */
const SEEN_LONGER = 6 * MINUTE;
/** A feeding pause, until a week has shown whether there are any. Common practice, no source. */
const ASSUMED_PAUSE = 10 * MINUTE;
const WEEK = 7 * DAY;
const PAUSES_REMEMBERED = 14 * DAY;
const PAUSES_KEPT = 5;
/** Without any other flow the water's oxygen does not last long. */
const NO_FLOW_CRITICAL = HOUR;

const longestPause = (pauses: readonly Pause[], now: Instant): number =>
  pauses.reduce(
    (longest, { at, length }) =>
      now - at < PAUSES_REMEMBERED ? Math.max(longest, length) : longest,
    0,
  );

/** How long it may stand still: a little longer than its usual pauses. */
function patience(state: PumpStoppedState, input: PumpStoppedInput, now: Instant): Millis {
  const { hold_min } = input.config.pump_stopped;
  const { since } = state.usual;
  const isNew = since === undefined || now - since < WEEK;
  const pause = Math.max(longestPause(state.pauses, now), isNew ? ASSUMED_PAUSE : 0);
  const enough = pause === 0 ? 0 : Math.max(LONGER_THAN_PAUSE * pause, pause + SEEN_LONGER);
  return Math.max(hold_min * MINUTE, Math.min(LONGEST_PAUSE, enough)) as Millis;
}

/** Forgets what the pump usually draws: it was replaced. Pauses are the keeper's habit, and stay. */
export const forgetPump = (state: PumpStoppedState): PumpStoppedState => ({
  ...state,
  usual: unlearnedPower,
});

/** What is known of standing still, after this look. */
function withPause(
  state: PumpStoppedState,
  power: number,
  limit: number,
  usual: number,
  now: Instant,
) {
  if (power < limit) return { ...state, stillSince: state.stillSince ?? now };
  if (state.stillSince === undefined || power < RESUMES * usual) return state;
  const length = (now - state.stillSince) as Millis;
  const isPause = length >= SHORTEST_PAUSE && length <= LONGEST_PAUSE;
  const pauses = isPause
    ? [...state.pauses, { at: state.stillSince, length }].slice(-PAUSES_KEPT)
    : state.pauses;
  return { ...state, stillSince: undefined, pauses };
}

/** A filter or pump that draws nothing: no flow, no oxygen, and its bacteria die within hours. */
export function lookAtPumpStopped(
  before: PumpStoppedState | undefined,
  input: PumpStoppedInput,
  now: Instant,
): { state: PumpStoppedState; finding: Finding } {
  let state = before ?? unseen;
  const { config, gear } = input;
  const rule = config.pump_stopped;
  const say = (verdict: Finding['verdict'], reason: PumpStoppedReason, proof: Evidence[]) => ({
    state,
    finding: possibleWarning(verdict, reason, proof, (rule.hold_min * MINUTE) as Millis),
  });
  if (gear.voice !== 'speaks' || gear.power === undefined) {
    const isAway = gear.voice === 'plug-gone' || gear.voice === 'plug-silent';
    if (isAway && !state.away) state = { ...state, away: true };
    return say('unknown', gear.voice === 'speaks' ? 'no-power-seen' : gear.voice, []);
  }
  if (state.away) {
    state = { ...state, away: false, returned: now, stillSince: undefined, stopped: openLatch };
  }
  const least = runsFrom(state.usual, gear.nameplate, rule.draws_under);
  const usual = learnPower(state.usual, gear.power, now, least);
  if (usual !== state.usual) state = { ...state, usual };
  const median = usual.levels.all?.median;
  if (median === undefined) return say('unknown', 'not-learned', []);

  const proof: Evidence[] = [];
  note(proof, 'power', gear.power, 'W', gear.powerAt);
  note(proof, 'usual-power', median, 'W');
  if (gear.onByPlan === false) {
    if (state.stopped.since !== undefined || state.stillSince !== undefined) {
      state = { ...state, stopped: openLatch, stillSince: undefined };
    }
    return say('quiet', 'off-by-plan', proof);
  }
  const limit = rule.draws_under * median;
  state = withPause(state, gear.power, limit, median, now);
  const grace = rule.after_power_min * MINUTE;
  const begun = state.stopped.since ?? now;
  const afterPower = state.returned !== undefined && begun - state.returned < grace;
  // What is not back is told so long after the power is, whenever it was first seen to stand still.
  const hold = afterPower
    ? ((grace - (begun - (state.returned ?? begun))) as Millis)
    : patience(state, input, now);
  const stopped = latch(
    state.stopped,
    {
      over: gear.power < limit,
      calm: gear.power >= limit + CLEAR * median,
      hold,
      settle: rule.hold_min * MINUTE,
    },
    now,
  );
  if (stopped !== state.stopped) state = { ...state, stopped };
  if (stopped.since === undefined) return say('quiet', 'runs', proof);

  const still = now - stopped.since;
  note(proof, 'stopped-for', still, 'ms', stopped.since);
  const pause = longestPause(state.pauses, now);
  if (pause > 0) note(proof, 'usual-pause', pause, 'ms');
  const finding: Finding = {
    verdict: 'raised',
    severity: still >= NO_FLOW_CRITICAL && !input.anotherRuns ? 'critical' : 'warning',
    reason: afterPower ? 'not-back-after-power' : 'draws-nothing',
    confidence: 'likely',
    evidence: proof,
    hold,
  };
  return { state, finding };
}
