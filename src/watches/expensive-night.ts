import { type Instant, MINUTE, type Millis } from '../units/index.ts';
import type { WatchesConfig } from './config.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import { type Latch, latch, openLatch } from './latch.ts';
import { note } from './views.ts';

export type ExpensiveNightReason =
  | 'dearer-by-weather' // most of what is more comes from the cold
  | 'dearer-by-price'
  | 'dearer-by-use' // of the devices: a lid left off, a new heater
  | 'dearer' // and what a night needs is not known well enough to say why
  | 'as-usual'
  | 'no-forecast'
  | 'coverage-low'
  | 'too-few-nights'; // of this tariff and these devices

export interface ExpensiveNightState {
  readonly dear: Latch;
}

/** One night of a tank's heating, booked or to come. */
export interface NightCost {
  /** In the site's currency. */
  readonly cost: number;
  readonly energyKwh: number;
  /** How much warmer the tank is kept than its room, summed over the night's hours, K·h. */
  readonly degreeHours: number;
  /** What part of it is known: of a forecast, the slots with a price and a room temperature. */
  readonly coverage: number;
  /** Another word where the tariff or the devices are others: such nights are not compared. */
  readonly basis: string;
}

export interface ExpensiveNightInput {
  readonly config: WatchesConfig;
  /** Handed in from the evening on, and until the night is over. */
  readonly tonight: NightCost | undefined;
  /** The last 14 nights. */
  readonly nights: readonly NightCost[];
}

const cheap: ExpensiveNightState = { dear: openLatch };
const HOLD = (10 * MINUTE) as Millis;
/** It is over below this part of what raises it. */
const CALM = 0.93;
/** So many nights before anything is called usual. */
const ENOUGH = 7;

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const low = sorted[(sorted.length - 1) >> 1] ?? Number.NaN;
  return (low + (sorted[sorted.length >> 1] ?? Number.NaN)) / 2;
}

/** What a night is dearer by, in the site's currency; the three sum to the difference. */
export interface Causes {
  readonly weather: number;
  readonly price: number;
  readonly use: number;
}

/**
 * Splits the difference between tonight and a usual night: more degree-hours at the usual need and
 * price, more need at the usual price, and another price for all of it. Undefined where a usual
 * night has no energy or no degree-hours.
 */
export function causesOf(tonight: NightCost, nights: readonly NightCost[]): Causes | undefined {
  const usable = nights.filter((night) => night.energyKwh > 0 && night.degreeHours > 0);
  if (usable.length === 0 || tonight.energyKwh <= 0) return undefined;
  const need = median(usable.map(({ energyKwh, degreeHours }) => energyKwh / degreeHours));
  const price = median(usable.map(({ cost, energyKwh }) => cost / energyKwh));
  const degreeHours = median(usable.map((night) => night.degreeHours));
  return {
    weather: (tonight.degreeHours - degreeHours) * need * price,
    use: (tonight.energyKwh - need * tonight.degreeHours) * price,
    price: tonight.cost - tonight.energyKwh * price,
  };
}

function reasonOf(causes: Causes | undefined): ExpensiveNightReason {
  if (causes === undefined) return 'dearer';
  const { weather, price, use } = causes;
  const most = Math.max(weather, price, use);
  if (most <= 0) return 'dearer';
  if (most === weather) return 'dearer-by-weather';
  return most === price ? 'dearer-by-price' : 'dearer-by-use';
}

/** A night that will cost far more than the last ones, while something can still be done. */
export function lookAtExpensiveNight(
  before: ExpensiveNightState | undefined,
  input: ExpensiveNightInput,
  now: Instant,
): { state: ExpensiveNightState; finding: Finding } {
  const state = before ?? cheap;
  const { tonight } = input;
  const rule = input.config.expensive_night;
  const say = (
    next: ExpensiveNightState,
    verdict: Finding['verdict'],
    reason: ExpensiveNightReason,
    proof: Evidence[],
  ) => ({
    state: next,
    finding: { ...possibleWarning(verdict, reason, proof, HOLD), severity: 'notice' as const },
  });
  if (tonight === undefined) return say(state, 'unknown', 'no-forecast', []);
  if (tonight.coverage < rule.coverage) return say(state, 'unknown', 'coverage-low', []);
  const alike = input.nights.filter(
    ({ basis, coverage }) => basis === tonight.basis && coverage >= rule.coverage,
  );
  if (alike.length < ENOUGH) return say(state, 'unknown', 'too-few-nights', []);
  const usual = median(alike.map(({ cost }) => cost));
  const limit = Math.max(rule.times * usual, rule.floor);
  const dear = latch(
    state.dear,
    { over: tonight.cost > limit, calm: tonight.cost < CALM * limit, hold: HOLD, settle: HOLD },
    now,
  );
  const next = dear === state.dear ? state : { dear };
  const proof: Evidence[] = [];
  if (usual > 0) note(proof, 'cost-of-usual', tonight.cost / usual, 'fraction');
  note(proof, 'forecast-coverage', tonight.coverage, 'fraction');
  if (dear.since === undefined) return say(next, 'quiet', 'as-usual', proof);
  const causes = causesOf(tonight, alike);
  const more = tonight.cost - usual;
  if (causes !== undefined && more > 0) {
    note(proof, 'by-weather', causes.weather / more, 'fraction');
    note(proof, 'by-price', causes.price / more, 'fraction');
    note(proof, 'by-use', causes.use / more, 'fraction');
  }
  const { finding } = say(next, 'raised', reasonOf(causes), proof);
  return { state: next, finding: { ...finding, confidence: 'likely' } };
}
