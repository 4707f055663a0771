import { type Instant, MINUTE, type Millis } from '../units/index.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import type { GearInput } from './gear-view.ts';
import { type Latch, latch, openLatch } from './latch.ts';
import { note, type PlugVoice, type TankView } from './views.ts';

export type MatOverheatingReason =
  | 'full-duty-and-cold' // heats without a break, and its probe does not feel it
  | 'not-at-full-duty'
  | 'warm-enough'
  | 'warming-up'
  | 'no-tank'
  | 'no-probe'
  | 'probe-silent'
  | Exclude<PlugVoice, 'speaks'>;

export interface MatOverheatingState {
  readonly cold: Latch;
}

export interface MatInput extends GearInput {
  readonly tank: TankView | undefined;
}

const cool: MatOverheatingState = { cold: openLatch };

/** From this part of its rated power on a mat is fully on. */
const FULL = 0.6;
/** Warming up means by so much within half an hour, K. */
const RISING = 0.5;

/**
 * A heat mat that heats without a break while its probe stays cold. The probe may have been moved,
 * and with it what the thermostat feels: then the mat gets hotter and hotter. Nobody can tell from
 * here; the surface has to be felt.
 */
export function lookAtMatOverheating(
  before: MatOverheatingState | undefined,
  input: MatInput,
  now: Instant,
): { state: MatOverheatingState; finding: Finding } {
  const state = before ?? cool;
  const { config, gear, tank } = input;
  const rule = config.mat_overheating;
  const hold = (rule.hold_min * MINUTE) as Millis;
  const say = (
    next: MatOverheatingState,
    verdict: Finding['verdict'],
    reason: MatOverheatingReason,
    proof: Evidence[],
  ) => ({ state: next, finding: possibleWarning(verdict, reason, proof, hold) });
  if (gear.voice !== 'speaks' || gear.power === undefined) {
    return say(state, 'unknown', gear.voice === 'speaks' ? 'no-power-seen' : gear.voice, []);
  }
  if (tank === undefined) return say(state, 'unknown', 'no-tank', []);
  if (tank.probes === 0) return say(state, 'unknown', 'no-probe', []);
  if (tank.middle === undefined) return say(state, 'unknown', 'probe-silent', []);
  const wanted = tank.set ?? tank.keep.min;
  const full = gear.power >= FULL * gear.nameplate;
  const low = wanted - tank.middle;
  const rising = tank.change !== undefined && tank.change >= RISING;
  const cold = latch(
    state.cold,
    {
      over: full && low >= rule.low_k && !rising,
      calm: !full || low < rule.low_k - 0.5,
      hold,
      settle: 10 * MINUTE,
    },
    now,
  );
  const next = cold === state.cold ? state : { cold };
  const proof: Evidence[] = [];
  note(proof, 'tank-temperature', tank.middle, 'C', tank.at);
  note(proof, tank.set === undefined ? 'kept-min' : 'set-point', wanted, 'C');
  note(proof, 'power', gear.power, 'W', gear.powerAt);
  note(proof, 'half-hour-change', tank.change, 'K', tank.at);
  note(proof, 'room-temperature', tank.room, 'C');
  if (cold.since !== undefined) {
    note(proof, 'drawing-for', now - cold.since, 'ms', cold.since);
    return say(next, 'raised', 'full-duty-and-cold', proof);
  }
  const reason = !full ? 'not-at-full-duty' : low < rule.low_k ? 'warm-enough' : 'warming-up';
  return say(next, 'quiet', reason, proof);
}
