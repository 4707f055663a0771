import { HOUR, type Instant, MINUTE, type Millis } from '../units/index.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import type { HeaterInput } from './heater-stuck-on.ts';
import { type Latch, latch, openLatch } from './latch.ts';
import { type Figure, needW, noteReckoned, noteTimeLeft } from './tank-heat.ts';
import { drewOf, note, type PlugVoice } from './views.ts';

export type HeaterOvermatchedReason =
  | 'full-and-falling'
  | 'not-full'
  | 'holds' // at full duty, but not getting colder
  | 'another-idle' // another heater of the tank could help and does not
  | 'too-little-seen'
  | 'no-probe'
  | 'probe-silent'
  | 'probe-jumped' // cooler water poured in: it works to make up for that
  | Exclude<PlugVoice, 'speaks'>;

export interface HeaterOvermatchedState {
  readonly short: Latch;
}

const holding: HeaterOvermatchedState = { short: openLatch };

const HOLD = (10 * MINUTE) as Millis;
const SETTLE = 30 * MINUTE;
const JUMP_SETTLES = 4 * HOUR;
/** A duty within so much of the threshold is not yet calm. */
const EASES = 0.1;
/** So much of the span has to be known. */
const KNOWN = 0.9;

/** A heater that has heated for hours without a break and yet loses to the cold. */
export function lookAtHeaterOvermatched(
  before: HeaterOvermatchedState | undefined,
  input: HeaterInput,
  now: Instant,
): { state: HeaterOvermatchedState; finding: Finding } {
  const state = before ?? holding;
  const { config, tank, heater } = input;
  const unknown = (reason: HeaterOvermatchedReason) => ({
    state,
    finding: finding('unknown', reason, []),
  });
  if (heater.voice !== 'speaks') return unknown(heater.voice);
  if (tank.probes === 0) return unknown('no-probe');
  if (tank.middle === undefined) return unknown('probe-silent');
  if (tank.jumped !== undefined && now - tank.jumped < JUMP_SETTLES) return unknown('probe-jumped');

  const rule = config.heater_overmatched;
  const span = rule.for_min * MINUTE;
  const { on, seen } = drewOf(heater, now, span);
  const duty = on / span;
  const fallen = tank.longChange === undefined ? undefined : -tank.longChange;
  const known = seen >= KNOWN * span && fallen !== undefined;
  const full = duty >= rule.duty;
  const anotherIdle = input.others.some(
    ({ voice, drawing }) => voice === 'speaks' && drawing === false,
  );
  const short = latch(
    state.short,
    {
      over: known && full && !anotherIdle && fallen >= rule.fallen_k,
      calm: duty < rule.duty - EASES || (fallen !== undefined && fallen <= -rule.fallen_k),
      hold: HOLD,
      settle: SETTLE,
    },
    now,
  );
  const next = short === state.short ? state : { short };
  if (short.since === undefined) {
    if (!known) return { state: next, finding: finding('unknown', 'too-little-seen', []) };
    const reason = !full ? 'not-full' : anotherIdle ? 'another-idle' : 'holds';
    return { state: next, finding: finding('quiet', reason, []) };
  }
  const proof: Evidence[] = [];
  note(proof, 'tank-temperature', tank.middle, 'C', tank.at);
  note(proof, 'duty', duty, 'fraction');
  note(proof, 'duty-span', span, 'ms');
  note(proof, 'two-hour-change', tank.longChange, 'K', tank.at);
  note(proof, 'room-temperature', tank.room, 'C');
  note(proof, 'power', heater.power, 'W', heater.powerAt);
  noteReckoned(proof, tank, 'short-by', shortBy(input), 'W');
  note(proof, 'kept-min', tank.keep.min, 'C');
  noteTimeLeft(proof, tank, 'min', heatingOf(input));
  return {
    state: next,
    finding: { ...finding('raised', 'full-and-falling', proof), confidence: 'likely' },
  };
}

const heatingOf = ({ heater, others }: HeaterInput): number =>
  [heater, ...others].reduce((sum, { power }) => sum + (power ?? 0), 0);

/** What is missing to hold the set point in this room, W. */
function shortBy(input: HeaterInput): Figure | undefined {
  const { tank, heater } = input;
  if (tank.room === undefined) return undefined;
  const held = heater.thermostat?.switchOn ?? tank.set ?? tank.keep.min;
  const need = needW(tank, held - tank.room);
  const given = heatingOf(input);
  if (need === undefined || need.value <= given) return undefined;
  const { value, low, high } = need;
  return {
    value: value - given,
    low: low === undefined ? undefined : Math.max(0, low - given),
    high: high === undefined ? undefined : high - given,
  };
}

const finding = (
  verdict: Finding['verdict'],
  reason: HeaterOvermatchedReason,
  proof: readonly Evidence[],
): Finding => possibleWarning(verdict, reason, proof, HOLD);
