import { heaterNeed, needVariance, scatterOf, studentT } from '../heat/index.ts';
import { HOUR, type Instant, MINUTE, type Millis } from '../units/index.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import type { HeaterInput } from './heater-stuck-on.ts';
import { type Latch, latch, openLatch } from './latch.ts';
import { noteReckoned } from './tank-heat.ts';
import { drewOf, LONG_SPAN, note, type PlugVoice, type TankView, TREND_SPAN } from './views.ts';

export type HeaterUnheardReason =
  | 'no-answer'
  | 'probe-in-air' // no answer either, but the probe shows the room: it may hang out of the water
  | 'answers'
  | 'too-little-heat' // drawn so far, or left over after what the tank loses
  | 'chiller-runs'
  | 'size-unknown'
  | 'no-room-probe' // without the room's temperature nothing is known of what is lost
  | 'no-probe'
  | 'probe-silent'
  | 'probe-jumped'
  | Exclude<PlugVoice, 'speaks'>;

export interface HeaterUnheardState {
  readonly mute: Latch;
}

const answering: HeaterUnheardState = { mute: openLatch };

/** The reckoned loss may be as much too small. Estimate: the prior is good to 30 %. */
const LOSS_UNSURE = 1.5;
const JUMP_SETTLES = 2.5 * HOUR;
/** A probe so near the room's temperature may hang in its air, K. */
const IN_AIR = 1;
/** With a lid off, the water answers now and then: that is one story, told once. Judgment, no source. */
const SETTLE = 4 * HOUR;
/** A rise of this part of what is expected is an answer. */
const RISES = 0.4;

/** What the tank loses within a span, taken high, J. */
function lostWithin(tank: TankView, span: Millis): number {
  const { prior, learned, middle } = tank;
  // A window may have been open: what counts is how cold it was all the while.
  const room = Math.min(tank.room ?? Number.NaN, tank.roomLately ?? Number.POSITIVE_INFINITY);
  if (prior === undefined || middle === undefined || Number.isNaN(room)) return 0;
  const seconds = span / 1000;
  if (learned === undefined) {
    return LOSS_UNSURE * prior.lossWPerK * Math.max(0, middle - room) * seconds;
  }
  const { fit } = learned;
  // A lamp that is on now may have been off for most of the span.
  const otherW = Math.min(learned.otherW, fit.meanOtherW);
  const differenceK = middle - room;
  const variance = needVariance(fit, differenceK, otherW) + scatterOf(fit, span / HOUR, 0);
  const reach = studentT(fit.freedom) * Math.sqrt(variance);
  return Math.max(0, heaterNeed(fit, differenceK, otherW) + reach) * seconds;
}

/** What its heat should have warmed the tank by, K. */
function worthWithin({ tank, heater }: HeaterInput, span: Millis, now: Instant): number {
  if (tank.prior === undefined) return 0;
  const given = (drewOf(heater, now, span).on / 1000) * (heater.onPower ?? 0);
  return (given - lostWithin(tank, span)) / tank.prior.storeJPerK;
}

/** Cooler water was poured in within the two hours, and it warms up again. */
function risesNow(input: HeaterInput, now: Instant): boolean {
  const { change } = input.tank;
  if (change === undefined) return false;
  const worth = worthWithin(input, TREND_SPAN, now);
  return change >= Math.max(input.config.heater_unheard.answered_k, RISES * worth);
}

/** A heater that draws while the water does not warm: it may heat air. */
export function lookAtHeaterUnheard(
  before: HeaterUnheardState | undefined,
  input: HeaterInput,
  now: Instant,
): { state: HeaterUnheardState; finding: Finding } {
  const state = before ?? answering;
  const { config, tank, heater } = input;
  const rule = config.heater_unheard;
  const hold = (rule.hold_min * MINUTE) as Millis;
  const told = (verdict: Finding['verdict'], reason: HeaterUnheardReason, proof: Evidence[] = []) =>
    possibleWarning(verdict, reason, proof, hold);
  const unknown = (reason: HeaterUnheardReason) => ({ state, finding: told('unknown', reason) });
  const { prior, middle, room } = tank;
  if (heater.voice !== 'speaks') return unknown(heater.voice);
  if (tank.probes === 0) return unknown('no-probe');
  if (middle === undefined) return unknown('probe-silent');
  if (prior === undefined) return unknown('size-unknown');
  if (room === undefined) return unknown('no-room-probe');
  if (tank.jumped !== undefined && now - tank.jumped < JUMP_SETTLES) return unknown('probe-jumped');
  if (input.chillers.some((it) => drewOf(it, now, LONG_SPAN).on > 0)) {
    return unknown('chiller-runs');
  }
  const change = tank.longChange;
  if (change === undefined) return unknown('too-little-heat');

  const worth = worthWithin(input, LONG_SPAN, now);
  const enough = worth >= rule.worth_k;
  const silent = change < rule.answered_k && !risesNow(input, now);
  const mute = latch(
    state.mute,
    {
      over: enough && silent,
      calm: change >= 2 * rule.answered_k || !enough,
      hold,
      settle: SETTLE,
    },
    now,
  );
  const next = mute === state.mute ? state : { mute };
  if (mute.since === undefined) {
    return { state: next, finding: told('quiet', silent ? 'too-little-heat' : 'answers') };
  }
  const proof: Evidence[] = [];
  note(proof, 'tank-temperature', middle, 'C', tank.at);
  noteReckoned(proof, tank, 'heat-worth', { value: worth }, 'K');
  note(proof, 'two-hour-change', change, 'K', tank.at);
  note(proof, 'on-power', heater.onPower, 'W');
  note(proof, 'room-temperature', room, 'C');
  if (Math.abs(middle - room) < IN_AIR) {
    return { state: next, finding: told('raised', 'probe-in-air', proof) };
  }
  return { state: next, finding: { ...told('raised', 'no-answer', proof), confidence: 'likely' } };
}
