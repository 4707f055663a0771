import type { Instant, Millis } from '../units/index.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import type { HeaterInput } from './heater-stuck-on.ts';
import { wanderOf } from './switch-offs.ts';
import { note, type PlugVoice } from './views.ts';

export type HeaterDriftingReason =
  | 'wanders'
  | 'stepped' // from one day to the next: a dial turned, a probe moved. The keeper knows
  | 'steady'
  | 'too-few-days'
  | 'no-probe'
  | 'probe-silent'
  | Exclude<PlugVoice, 'speaks'>;

export interface HeaterDriftingState {
  readonly far: boolean;
}

const steady: HeaterDriftingState = { far: false };

const HOLD = 0 as Millis;
/** A day's switch-offs scatter as its probe does: it ends when it is back by this much, K. */
const BACK = 0.2;
/** From this part of the whole on one day's move is a step. */
const STEP = 0.7;

/** A thermostat whose switch-off has moved within a fortnight. */
export function lookAtHeaterDrifting(
  before: HeaterDriftingState | undefined,
  input: HeaterInput,
  now: Instant,
): { state: HeaterDriftingState; finding: Finding } {
  const state = before ?? steady;
  const { config, tank, heater } = input;
  const told = (
    verdict: Finding['verdict'],
    reason: HeaterDriftingReason,
    proof: Evidence[] = [],
  ) => possibleWarning(verdict, reason, proof, HOLD);
  if (heater.voice !== 'speaks') return { state, finding: told('unknown', heater.voice) };
  if (tank.probes === 0) return { state, finding: told('unknown', 'no-probe') };
  if (tank.middle === undefined) return { state, finding: told('unknown', 'probe-silent') };
  const wander = wanderOf(heater.sight.switchOffs, now);
  if (wander === undefined) return { state, finding: told('unknown', 'too-few-days') };
  const limit = config.heater_drifting.wanders_k - (state.far ? BACK : 0);
  const far = Math.abs(wander.by) >= limit;
  const next = far === state.far ? state : { far };
  if (!far) return { state: next, finding: told('quiet', 'steady') };
  const proof: Evidence[] = [];
  note(proof, 'moved', wander.by, 'K');
  note(proof, 'switch-off', wander.now, 'C');
  note(proof, 'set-point', tank.set, 'C');
  if (Math.abs(wander.step) >= STEP * Math.abs(wander.by)) {
    return { state: next, finding: { ...told('raised', 'stepped', proof), severity: 'notice' } };
  }
  return { state: next, finding: { ...told('raised', 'wanders', proof), confidence: 'likely' } };
}
