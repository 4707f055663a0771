import { HOUR, type Instant, MINUTE, type Millis } from '../units/index.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import type { HeaterInput } from './heater-stuck-on.ts';
import { type Latch, latch, openLatch } from './latch.ts';
import { noteTimeLeft } from './tank-heat.ts';
import { drewOf, LONG_SPAN, note, type PlugVoice } from './views.ts';

export type HeaterNotHeatingReason =
  | 'no-draw-below-switch-on' // colder than where it usually starts, and nothing drawn
  | 'no-draw-below-set-point' // the same against the set point: nothing learned yet
  | 'no-draw-below-kept-min' // nothing told and nothing learned but the kept range
  | 'draws'
  | 'warm-enough'
  | 'not-for-long' // cold enough to speak, but off for less than an hour
  | 'rising-anyway'
  | 'held-by-another' // heater: the water is cool, but does not fall
  | 'another-heats' // and this one's own set point is not learned: it may be lower
  | 'no-probe'
  | 'probe-silent'
  | 'probe-jumped'
  | Exclude<PlugVoice, 'speaks'>;

export interface HeaterNotHeatingState {
  readonly cold: Latch;
}

const quietState: HeaterNotHeatingState = { cold: openLatch };

const HOLD = (10 * MINUTE) as Millis;
/** Once too cold, a little noise above the threshold does not begin the hour anew, K. */
const NEAR = 0.15;
/** Rising means by so much within half an hour, K. */
const RISING = 0.1;
/** Falling means by so much within two hours, K. */
const FALLING = 0.1;
/** At least so far below the learned switch-on, K. */
const BELOW_SWITCH_ON = 0.3;
const JUMP_SETTLES = HOUR;
/** A probe that has fallen to about the room's temperature hangs in its air. */
const IN_AIR = 1;
const IN_AIR_FOR = 6 * HOUR;

/**
 * Below this it ought to draw. Learned: 0.7 K under the middle of its band, and 0.3 K under its
 * switch-on. Else 0.7 K under the set point, else the kept minimum: a range kept wide, as an
 * outdoor trough's, has no middle that means anything.
 */
function coldAt({ config, tank, heater }: HeaterInput): {
  at: number;
  reason: HeaterNotHeatingReason;
} {
  const below = config.heater_not_heating.below_set_k;
  const { thermostat } = heater;
  if (thermostat !== undefined) {
    const middle = (thermostat.switchOff + thermostat.switchOn) / 2;
    const at = Math.min(middle - below, thermostat.switchOn - BELOW_SWITCH_ON);
    return { at, reason: 'no-draw-below-switch-on' };
  }
  return tank.set === undefined
    ? { at: tank.keep.min, reason: 'no-draw-below-kept-min' }
    : { at: tank.set - below, reason: 'no-draw-below-set-point' };
}

function jumpTroubles({ tank }: HeaterInput, now: Instant): boolean {
  if (tank.jumped === undefined || tank.middle === undefined) return false;
  const ago = now - tank.jumped;
  const inAir = tank.room !== undefined && Math.abs(tank.middle - tank.room) < IN_AIR;
  return ago < JUMP_SETTLES || (inAir && ago < IN_AIR_FOR);
}

/** A heater that seldom has to help shows little of its own set point: what counts is the water. */
function heldByAnother({ tank, others }: HeaterInput, now: Instant): boolean {
  const { middle = Number.NaN, longChange = Number.NaN } = tank;
  return (
    middle >= tank.keep.min &&
    longChange > -FALLING &&
    others.some((other) => drewOf(other, now, LONG_SPAN).on > 0)
  );
}

/** A heater that draws nothing though the water is cold. */
export function lookAtHeaterNotHeating(
  before: HeaterNotHeatingState | undefined,
  input: HeaterInput,
  now: Instant,
): { state: HeaterNotHeatingState; finding: Finding } {
  const state = before ?? quietState;
  const { config, tank, heater } = input;
  const { middle } = tank;
  const unknown = (reason: HeaterNotHeatingReason) => ({
    state,
    finding: finding('unknown', reason, []),
  });
  if (heater.voice !== 'speaks') return unknown(heater.voice);
  if (tank.probes === 0) return unknown('no-probe');
  if (middle === undefined) return unknown('probe-silent');
  const draws = heater.drawing === true;
  if (!draws && jumpTroubles(input, now)) return unknown('probe-jumped');
  if (!draws && input.anotherHeats && heater.thermostat === undefined) {
    return unknown('another-heats');
  }

  const threshold = coldAt(input);
  const rule = config.heater_not_heating;
  const offFor = draws || heater.since === undefined ? 0 : now - heater.since;
  const rising = tank.change !== undefined && tank.change >= RISING;
  const held = !draws && heldByAnother(input, now);
  const near = state.cold.since === undefined ? 0 : NEAR;
  const isCold = middle <= threshold.at + near;
  // Off for an hour is nothing yet: it may have been warm enough for most of it, and then the water
  // was changed. It has to be cold for as long, unless the animals feel it already.
  const hold = middle < tank.keep.min ? HOLD : ((rule.hold_min * MINUTE) as Millis);
  const cold = latch(
    state.cold,
    {
      over: !draws && isCold && !rising && !held && offFor >= rule.hold_min * MINUTE,
      calm: draws || middle > threshold.at + config.out_of_range.reenter_k,
      hold,
      settle: HOLD,
    },
    now,
  );
  const next = cold === state.cold ? state : { cold };
  const proof: Evidence[] = [];
  note(proof, 'tank-temperature', middle, 'C', tank.at);
  note(proof, 'switch-on', heater.thermostat?.switchOn, 'C');
  note(proof, 'set-point', tank.set, 'C');
  note(proof, 'too-cold-from', threshold.at, 'C');
  note(proof, 'kept-min', tank.keep.min, 'C');
  note(proof, 'power', heater.power, 'W', heater.powerAt);
  note(proof, 'on-power', heater.onPower ?? heater.nameplate, 'W');
  note(proof, 'half-hour-change', tank.change, 'K', tank.at);
  note(proof, 'room-temperature', tank.room, 'C');
  if (!draws) {
    note(proof, 'off-for', offFor, 'ms', heater.since);
    noteTimeLeft(proof, tank, 'min', 0);
  }
  if (cold.since !== undefined) {
    const confidence =
      heater.thermostat !== undefined || middle < tank.keep.min ? 'likely' : 'possible';
    return {
      state: next,
      finding: { ...finding('raised', threshold.reason, proof), confidence, hold },
    };
  }
  const reason = draws
    ? 'draws'
    : !isCold
      ? 'warm-enough'
      : rising
        ? 'rising-anyway'
        : held
          ? 'held-by-another'
          : 'not-for-long';
  return { state: next, finding: finding('quiet', reason, proof) };
}

const finding = (
  verdict: Finding['verdict'],
  reason: HeaterNotHeatingReason,
  proof: readonly Evidence[],
): Finding => possibleWarning(verdict, reason, proof, HOLD);
