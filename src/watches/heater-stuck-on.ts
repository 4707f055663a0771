import { HOUR, type Instant, MINUTE, type Millis } from '../units/index.ts';
import type { WatchesConfig } from './config.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import { type Latch, latch, openLatch } from './latch.ts';
import { noteTimeLeft } from './tank-heat.ts';
import { type HeaterView, note, type PlugVoice, type TankView } from './views.ts';

/** Why it speaks, or does not. */
export type HeaterStuckOnReason =
  | 'on-above-switch-off' // warmer than where it usually switches off, and still on
  | 'on-above-set-point' // the same against the set point: the switch-off is not learned yet
  | 'on-far-above-switch-off'
  | 'on-above-kept-max'
  | 'on-longer-than-ever' // without a probe: it has never drawn so long in one go
  | 'off'
  | 'as-usual'
  | 'warm-but-falling'
  | 'no-probe'
  | 'probe-silent'
  | 'probe-jumped' // moved faster than water can: taken out, or water poured in
  | Exclude<PlugVoice, 'speaks'>;

export interface HeaterStuckOnState {
  readonly warm: Latch;
  readonly hot: Latch;
}

export interface HeaterInput {
  readonly config: WatchesConfig;
  readonly tank: TankView;
  readonly heater: HeaterView;
  /** Another heater of the same tank draws. */
  readonly anotherHeats: boolean;
  /** The other heaters of the tank. */
  readonly others: readonly HeaterView[];
  readonly chillers: readonly HeaterView[];
}

const unlearned: HeaterStuckOnState = { warm: openLatch, hot: openLatch };

/** Enough against a spike that has got past the probe's median. */
const SHORT_HOLD = (2 * MINUTE) as Millis;
/** Falling means by so much within half an hour, K. */
const FALLING = 0.1;
const JUMP_SETTLES = 30 * MINUTE;
/** From this part of the way from switch-off to the kept maximum on there is no time to lose. */
const HURRY = 0.3;
/** A thermostat that wanders by itself is given as much again, K per K of its spread. */
const WANDERS = 1.5;
/** Without a probe: this many times its longest run, and at least so long. Estimates. */
const LONGER = 3;
const LONG = 3 * HOUR;
const RUNS_ENOUGH = 5;

interface Threshold {
  readonly switchOff: number | undefined;
  readonly warmAt: number;
  readonly hotAt: number;
  readonly from: 'learned' | 'set' | 'kept-max';
}

/**
 * The temperature from which on is too long. Learned: switch-off + 0.3 K, more if it wanders. Until
 * then the set point + 0.5 K stands for the switch-off, or the highest one seen. With neither, only
 * the kept maximum counts: the middle of the kept range would raise false alarms on the first day.
 */
function thresholdOf({ config, tank, heater }: HeaterInput): Threshold {
  const rule = config.heater_stuck_on;
  const { thermostat } = heater;
  const top = tank.keep.max;
  if (thermostat === undefined && tank.set === undefined) {
    return { switchOff: undefined, warmAt: top, hotAt: top, from: 'kept-max' };
  }
  const stands = (tank.set ?? top) + rule.unlearned_above_set_k;
  const switchOff = thermostat?.switchOff ?? Math.max(stands, heater.highestSwitchOff ?? stands);
  const above = Math.max(rule.above_switch_off_k, WANDERS * (thermostat?.spread ?? 0));
  return {
    switchOff,
    warmAt: Math.min(switchOff + above, top),
    hotAt: Math.min(switchOff + Math.max(rule.critical_above_k, above), top),
    from: thermostat === undefined ? 'set' : 'learned',
  };
}

/** A heater that goes on drawing though the water is warm: a relay that sticks. */
export function lookAtHeaterStuckOn(
  before: HeaterStuckOnState | undefined,
  input: HeaterInput,
  now: Instant,
): { state: HeaterStuckOnState; finding: Finding } {
  const state = before ?? unlearned;
  const { config, tank, heater } = input;
  const { middle } = tank;
  const unknown = (reason: HeaterStuckOnReason) => ({
    state,
    finding: finding(config, 'unknown', reason, []),
  });
  if (heater.voice !== 'speaks') return unknown(heater.voice);
  if (tank.probes === 0) return lookWithoutProbe(state, input, now);
  if (middle === undefined) return unknown('probe-silent');
  if (tank.jumped !== undefined && now - tank.jumped < JUMP_SETTLES) return unknown('probe-jumped');

  const threshold = thresholdOf(input);
  const drawing = heater.drawing === true;
  const falling = tank.change !== undefined && tank.change <= -FALLING;
  const back = config.out_of_range.reenter_k;
  const top = tank.keep.max;
  const hurried =
    threshold.switchOff !== undefined &&
    middle >= threshold.switchOff + HURRY * (top - threshold.switchOff);
  const hold = hurried
    ? Math.min(SHORT_HOLD, config.heater_stuck_on.hold_min * MINUTE)
    : config.heater_stuck_on.hold_min * MINUTE;
  const settle = config.heater_stuck_on.hold_min * MINUTE;
  const warm = latch(
    state.warm,
    {
      over: drawing && middle >= threshold.warmAt && !falling,
      calm: !drawing || middle < threshold.warmAt - back,
      hold,
      settle,
    },
    now,
  );
  const hot = latch(
    state.hot,
    {
      over: drawing && middle >= threshold.hotAt,
      calm: !drawing || middle < threshold.hotAt - back,
      hold: SHORT_HOLD,
      settle,
    },
    now,
  );
  const next = warm === state.warm && hot === state.hot ? state : { warm, hot };
  const proof = proofOf(input, threshold, now);
  if (hot.since !== undefined && (hot.held || warm.since === undefined)) {
    const reason = middle >= top ? 'on-above-kept-max' : 'on-far-above-switch-off';
    return {
      state: next,
      finding: {
        ...finding(config, 'raised', reason, proof),
        severity: 'critical',
        confidence: threshold.from === 'set' && middle < top ? 'possible' : 'certain',
        hold: SHORT_HOLD,
      },
    };
  }
  if (warm.since !== undefined) {
    const reason = threshold.from === 'learned' ? 'on-above-switch-off' : 'on-above-set-point';
    return {
      state: next,
      finding: {
        ...finding(config, 'raised', reason, proof),
        confidence: threshold.from === 'learned' ? 'likely' : 'possible',
        hold: hold as Millis,
      },
    };
  }
  const reason = !drawing
    ? 'off'
    : falling && middle >= threshold.warmAt
      ? 'warm-but-falling'
      : 'as-usual';
  return { state: next, finding: finding(config, 'quiet', reason, proof) };
}

/** Without a probe only the length of a run can tell, and a cold night makes long runs too. */
function lookWithoutProbe(state: HeaterStuckOnState, input: HeaterInput, now: Instant) {
  const { config, heater } = input;
  if (heater.drawing !== true || heater.since === undefined) {
    const reason = heater.drawing === false ? 'off' : 'no-probe';
    const verdict = heater.drawing === false ? 'quiet' : 'unknown';
    return { state: unlearned, finding: finding(config, verdict, reason, []) };
  }
  if (heater.runs.length < RUNS_ENOUGH) {
    return { state, finding: finding(config, 'unknown', 'no-probe', []) };
  }
  const longest = Math.max(...heater.runs);
  const run = now - heater.since;
  const proof: Evidence[] = [];
  note(proof, 'drawing-for', run, 'ms', heater.since);
  note(proof, 'longest-run', longest, 'ms');
  note(proof, 'power', heater.power, 'W', heater.powerAt);
  return run > Math.max(LONG, LONGER * longest)
    ? { state, finding: finding(config, 'raised', 'on-longer-than-ever', proof) }
    : { state, finding: finding(config, 'quiet', 'as-usual', proof) };
}

const finding = (
  config: WatchesConfig,
  verdict: Finding['verdict'],
  reason: HeaterStuckOnReason,
  proof: readonly Evidence[],
): Finding =>
  possibleWarning(verdict, reason, proof, (config.heater_stuck_on.hold_min * MINUTE) as Millis);

function proofOf(input: HeaterInput, threshold: Threshold, now: Instant): Evidence[] {
  const { tank, heater } = input;
  const proof: Evidence[] = [];
  note(proof, 'tank-temperature', tank.middle, 'C', tank.at);
  note(proof, 'switch-off', heater.thermostat?.switchOff, 'C');
  note(proof, 'set-point', tank.set, 'C');
  note(proof, 'too-warm-from', threshold.warmAt, 'C');
  note(proof, 'kept-max', tank.keep.max, 'C');
  note(proof, 'power', heater.power, 'W', heater.powerAt);
  note(proof, 'half-hour-change', tank.change, 'K', tank.at);
  note(proof, 'room-temperature', tank.room, 'C');
  if (heater.drawing === true && heater.since !== undefined) {
    note(proof, 'drawing-for', now - heater.since, 'ms', heater.since);
    noteTimeLeft(proof, tank, 'max', heater.power ?? 0);
  }
  return proof;
}
