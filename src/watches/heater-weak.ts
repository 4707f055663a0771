import { DAY, type Instant, type Millis } from '../units/index.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import type { HeaterInput } from './heater-stuck-on.ts';
import { medianOf } from './median.ts';
import { recentPowers, type Strength, scatters, usualRange } from './strength.ts';
import { note, type PlugVoice } from './views.ts';

export type HeaterWeakReason =
  | 'weaker-than-learned'
  | 'stronger-than-learned' // a step up that held: it was replaced, or put on another plug
  | 'as-strong-as-ever'
  | 'not-learned'
  | 'power-varies' // a controller that doses power: no run is like another
  | Exclude<PlugVoice, 'speaks'>;

export interface HeaterWeakState {
  /** Since when it has been weak. */
  readonly weak: Instant | undefined;
}

const strong: HeaterWeakState = { weak: undefined };

const HOLD = 0 as Millis;
/** A change for the better is told for a day, then it is the usual. */
const TOLD_FOR = DAY;
/** It counts as strong again when it has come back by such a part of the limit. */
const COMES_BACK = 0.03;

/**
 * An element that draws less than it did when it was learned, at the voltage at which it was learned.
 * Where the plug does not tell its voltage, 6 % less takes 12 % of the power: the threshold lies
 * beyond that, and beyond what a day of its runs has shown to be usual. Needs no probe, but is then
 * only ever possible.
 */
export function lookAtHeaterWeak(
  before: HeaterWeakState | undefined,
  input: HeaterInput,
  now: Instant,
): { state: HeaterWeakState; finding: Finding } {
  const state = before ?? strong;
  const { config, tank, heater } = input;
  const told = (verdict: Finding['verdict'], reason: HeaterWeakReason, proof: Evidence[] = []) =>
    possibleWarning(verdict, reason, proof, HOLD);
  if (heater.voice !== 'speaks') return { state, finding: told('unknown', heater.voice) };
  const { strength } = heater.sight;
  const unlearned = state.weak === undefined ? state : strong;
  const range = strength && usualRange(strength, config.heater_weak.below);
  if (strength?.usual === undefined || range === undefined) {
    return { state: unlearned, finding: told('unknown', 'not-learned') };
  }
  if (scatters(strength)) return { state: unlearned, finding: told('unknown', 'power-varies') };
  const { usual, changed } = strength;
  const recent = recentPowers(strength);
  const { cycles } = config.heater_weak;
  const last = recent.slice(-cycles);
  const since = weakSince(state, last, range.low, cycles, now);
  const next = since === state.weak ? state : { weak: since };
  const confidence = tank.probes === 0 ? 'possible' : 'likely';
  if (since !== undefined) {
    const finding = told('raised', 'weaker-than-learned', proofOf(strength, usual, last));
    return { state: next, finding: { ...finding, confidence } };
  }
  if (changed !== undefined && now - changed.at < TOLD_FOR) {
    const proof = proofOf(strength, changed.from, recent);
    const finding = told('raised', 'stronger-than-learned', proof);
    return { state: next, finding: { ...finding, severity: 'notice', confidence } };
  }
  return { state: next, finding: told('quiet', 'as-strong-as-ever') };
}

function weakSince(
  { weak }: HeaterWeakState,
  last: readonly number[],
  limit: number,
  cycles: number,
  now: Instant,
): Instant | undefined {
  if (weak !== undefined) {
    return last.every((power) => power >= limit * (1 + COMES_BACK)) ? undefined : weak;
  }
  return last.length >= cycles && last.every((power) => power < limit) ? now : undefined;
}

function proofOf(
  { since, recent, volts }: Strength,
  learned: number,
  last: readonly number[],
): Evidence[] {
  const proof: Evidence[] = [];
  const power = medianOf(last);
  note(proof, 'on-power', power, 'W');
  note(proof, 'learned-power', learned, 'W', since);
  note(
    proof,
    'weaker-by',
    power === undefined ? undefined : Math.abs(1 - power / learned),
    'fraction',
  );
  const told = recent.slice(-last.length).map((run) => run.volts);
  if (volts === undefined || told.includes(undefined)) return proof;
  note(proof, 'voltage', medianOf(told.filter((it) => it !== undefined)), 'V');
  note(proof, 'reckoned-to-voltage', volts, 'V');
  return proof;
}
