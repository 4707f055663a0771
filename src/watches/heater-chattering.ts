import { type Instant, MINUTE, type Millis } from '../units/index.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import type { HeaterInput } from './heater-stuck-on.ts';
import { type Latch, latch, openLatch } from './latch.ts';
import { note, type PlugVoice } from './views.ts';

export type HeaterChatteringReason =
  | 'switches-too-often'
  | 'pulses-evenly' // a controller that doses heat by the length of its pulses
  | 'calm'
  | Exclude<PlugVoice, 'speaks'>;

export interface HeaterChatteringState {
  readonly rattling: Latch;
}

const calm: HeaterChatteringState = { rattling: openLatch };

const HOLD = (2 * MINUTE) as Millis;
const SETTLE = 30 * MINUTE;
/** Periods that differ by less, on the average, are one controller's. */
const EVEN = 0.15;
/** A plug that reports every few seconds shows even pulses uneven by as much, ms. */
const JITTER = 12_000;

/**
 * From one switching-on to the next, the length is always the same where a controller pulses, and
 * never where a contact rattles. Periods as short as the plug's own interval look alike whatever they
 * are: those are not called even.
 */
function isEven(times: readonly Instant[]): boolean {
  const periods: number[] = [];
  for (let i = 2; i < times.length; i += 2) periods.push((times[i] ?? 0) - (times[i - 2] ?? 0));
  const mean = periods.reduce((sum, it) => sum + it, 0) / periods.length;
  const off = periods.reduce((sum, it) => sum + Math.abs(it - mean), 0) / periods.length;
  return mean > 2 * JITTER && off <= Math.max(EVEN * mean, Math.min(JITTER / 2, EVEN * 2 * mean));
}

/** A thermostat's contact that rattles: it burns, and sticks in the end. */
export function lookAtHeaterChattering(
  before: HeaterChatteringState | undefined,
  input: HeaterInput,
  now: Instant,
): { state: HeaterChatteringState; finding: Finding } {
  const state = before ?? calm;
  const { config, tank, heater } = input;
  const told = (
    verdict: Finding['verdict'],
    reason: HeaterChatteringReason,
    proof: Evidence[] = [],
  ) => possibleWarning(verdict, reason, proof, HOLD);
  if (heater.voice !== 'speaks') return { state, finding: told('unknown', heater.voice) };
  const { switchings, within_min } = config.heater_chattering;
  const from = now - within_min * MINUTE;
  const { switched } = heater.sight;
  let count = 0;
  for (let i = switched.length - 1; i >= 0 && (switched[i] ?? 0) > from; i -= 1) count += 1;
  const often = count >= switchings;
  const even = often && isEven(switched.slice(-count));
  const rattling = latch(
    state.rattling,
    { over: often && !even, calm: count < switchings / 2, hold: HOLD, settle: SETTLE },
    now,
  );
  const next = rattling === state.rattling ? state : { rattling };
  if (rattling.since === undefined) {
    return { state: next, finding: told('quiet', even ? 'pulses-evenly' : 'calm') };
  }
  const proof: Evidence[] = [];
  const every = count === 0 ? undefined : (within_min * MINUTE) / count;
  note(proof, 'switches-every', every, 'ms');
  note(proof, 'power', heater.power, 'W', heater.powerAt);
  const confidence = tank.probes === 0 ? 'possible' : 'likely';
  return {
    state: next,
    finding: { ...told('raised', 'switches-too-often', proof), confidence },
  };
}
