import { HOUR, type Instant, MINUTE, type Millis } from '../units/index.ts';
import type { WatchesConfig } from './config.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import { type Latch, latch, openLatch } from './latch.ts';
import { drewOf, type HeaterView, note, type TankView } from './views.ts';

/** What the fitted heat loss expects of all heaters of a tank over the last `DUTY_SPAN`. */
export interface ExpectedDuty {
  /** Mean power over the power of all heaters together, 0–1. */
  readonly duty: number;
  /** Edges of its 99 % band. */
  readonly low: number;
  readonly high: number;
}

export type DutyUnexplainedReason =
  | 'more-than-expected' // lid off, a draft, water running
  | 'less-than-expected' // a new source of heat
  | 'as-expected'
  | 'nothing-expected' // no fit, or one too young
  | 'no-heater'
  | 'heater-unknown' // a heater of the tank has no plug of its own that speaks
  | 'too-little-seen';

export interface DutyUnexplainedState {
  readonly more: Latch;
  readonly less: Latch;
}

const explained: DutyUnexplainedState = { more: openLatch, less: openLatch };

export interface DutyInput {
  readonly config: WatchesConfig;
  readonly tank: TankView;
  readonly heaters: readonly HeaterView[];
  /** Undefined while there is no fit that is old enough. */
  readonly expected: ExpectedDuty | undefined;
}

/** Over so long the duty is taken, and expected. */
export const DUTY_SPAN = (6 * HOUR) as Millis;
const KNOWN = 0.9;
const SETTLE = 2 * HOUR;
/** How far inside its edge the duty is calm, as part of the band. */
const INSIDE = 0.1;

/** A tank that takes more heat, or less, than what is known of its losses explains. */
export function lookAtDutyUnexplained(
  before: DutyUnexplainedState | undefined,
  input: DutyInput,
  now: Instant,
): { state: DutyUnexplainedState; finding: Finding } {
  const state = before ?? explained;
  const { config, tank, heaters, expected } = input;
  const hold = (config.duty_unexplained.hold_min * MINUTE) as Millis;
  const told = (
    verdict: Finding['verdict'],
    reason: DutyUnexplainedReason,
    proof: Evidence[] = [],
  ) => ({
    ...possibleWarning(verdict, reason, proof, hold),
    severity: 'notice' as const,
  });
  const unknown = (reason: DutyUnexplainedReason) => ({ state, finding: told('unknown', reason) });
  if (heaters.length === 0) return { state, finding: told('quiet', 'no-heater') };
  if (expected === undefined) return unknown('nothing-expected');
  if (heaters.some(({ voice }) => voice !== 'speaks')) return unknown('heater-unknown');
  const duty = dutyOf(heaters, now);
  if (duty === undefined) return unknown('too-little-seen');

  const margin = INSIDE * (expected.high - expected.low);
  const rule = { hold, settle: SETTLE };
  const more = latch(
    state.more,
    { ...rule, over: duty > expected.high, calm: duty < expected.high - margin },
    now,
  );
  const less = latch(
    state.less,
    { ...rule, over: duty < expected.low, calm: duty > expected.low + margin },
    now,
  );
  const next = more === state.more && less === state.less ? state : { more, less };
  if (more.since === undefined && less.since === undefined) {
    return { state: next, finding: told('quiet', 'as-expected') };
  }
  const proof: Evidence[] = [];
  note(proof, 'duty', duty, 'fraction');
  note(proof, 'duty-span', DUTY_SPAN, 'ms');
  note(proof, 'expected-duty', expected.duty, 'fraction');
  note(proof, 'expected-from', expected.low, 'fraction');
  note(proof, 'expected-to', expected.high, 'fraction');
  note(proof, 'tank-temperature', tank.middle, 'C', tank.at);
  note(proof, 'room-temperature', tank.room, 'C');
  const reason = more.since === undefined ? 'less-than-expected' : 'more-than-expected';
  return { state: next, finding: { ...told('raised', reason, proof), confidence: 'likely' } };
}

/** Mean power of all heaters over what they can do; undefined where too little is known. */
function dutyOf(heaters: readonly HeaterView[], now: Instant): number | undefined {
  let given = 0;
  let possible = 0;
  for (const heater of heaters) {
    const { on, seen } = drewOf(heater, now, DUTY_SPAN);
    if (seen < KNOWN * DUTY_SPAN) return undefined;
    const power = heater.onPower ?? heater.nameplate;
    given += (on / seen) * power;
    possible += power;
  }
  return given / possible;
}
