import { DAY, HOUR, type Instant, MINUTE, type Millis, median } from '../units/index.ts';
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
  | 'night-over'
  | 'no-forecast'
  | 'no-price' // of a part of the night
  | 'coverage-low'
  | 'too-few-nights'; // of this tariff and these devices

export interface ExpensiveNightState {
  readonly dear: Latch;
  /** When the night that was dear is over, or was found to be over. */
  readonly until?: Instant | undefined;
}

/** One night of a tank's heating. */
export interface NightCost {
  /** In the site's currency. */
  readonly cost: number;
  readonly energyKwh: number;
  /** How much warmer the tank is kept than its room, summed over the night's hours, K·h. */
  readonly degreeHours: number;
  /** What part of it is known: of a night that is over, by its plugs; of a forecast, by its prices. */
  readonly coverage: number;
  /** Another word where the tariff or the devices are others: such nights are not compared. */
  readonly basis: string;
}

/** The night to come, or under way. */
export interface Tonight extends Omit<NightCost, 'cost'> {
  /** Undefined where a part of it has no price yet. */
  readonly cost: number | undefined;
  /** The low end of its band, where it has one: it costs less than this 1 time in 20. */
  readonly costLow?: number | undefined;
  readonly until: Instant;
  /** How many days of its books the tank's heat was learned over; undefined: reckoned from its size. */
  readonly learnedDays: number | undefined;
  /** Median error of its last forecasts, a fraction; undefined while too few were scored. */
  readonly offBy: number | undefined;
}

export interface ExpensiveNightInput {
  readonly config: WatchesConfig;
  /** Handed in from the evening on, and until the night is over. */
  readonly tonight: Tonight | undefined;
  /** The last 14 nights. */
  readonly nights: readonly NightCost[];
}

const cheap: ExpensiveNightState = { dear: openLatch };
const HOLD = (10 * MINUTE) as Millis;
/** It is over below this part of what raises it. */
const CALM = 0.93;
/** So many nights before anything is called usual. */
const ENOUGH = 7;
/** Forecasts that were further off than this make no finding likely. */
const POOR = 0.3;
/** With less of the night ahead there is little left to save, and keepers sleep. */
const WORTH_SAYING = 8 * HOUR;
/** Longer than any alert stays open while it is quiet. */
const OVER_FOR = 6 * HOUR;

/** What a night is dearer by, in the site's currency; the three sum to the difference. */
export interface Causes {
  readonly weather: number;
  readonly price: number;
  readonly use: number;
}

/**
 * Splits the difference between tonight and a usual night, of which cost, energy and degree-hours
 * are medians: more degree-hours at the usual need and price, more need at the usual price, and
 * another price for all of it. Undefined where a usual night has no energy or no degree-hours.
 */
export function causesOf(tonight: NightCost, nights: readonly NightCost[]): Causes | undefined {
  const energy = median(nights.map(({ energyKwh }) => energyKwh));
  const degreeHours = median(
    nights.map((night) => night.degreeHours).filter((measured) => measured > 0),
  );
  if (!(energy > 0 && degreeHours > 0) || tonight.energyKwh <= 0) return undefined;
  const need = energy / degreeHours;
  const price = median(nights.map(({ cost }) => cost)) / energy;
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

/** A night that is over takes with it what was said of it. */
function pastNight(state: ExpensiveNightState, now: Instant): ExpensiveNightState {
  const { dear, until } = state;
  if (dear.since === undefined || until === undefined || now < until) return state;
  return { dear: openLatch, until: now };
}

/** A night that will cost far more than the last ones, while something can still be done. */
export function lookAtExpensiveNight(
  before: ExpensiveNightState | undefined,
  input: ExpensiveNightInput,
  now: Instant,
): { state: ExpensiveNightState; finding: Finding } {
  const state = pastNight(before ?? cheap, now);
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
  if (tonight === undefined) {
    const { until } = state;
    const isOver = until !== undefined && now >= until && now - until < OVER_FOR;
    return isOver
      ? say(state, 'quiet', 'night-over', [])
      : say(state, 'unknown', 'no-forecast', []);
  }
  const { cost, coverage, basis, learnedDays, offBy } = tonight;
  if (coverage < rule.coverage) return say(state, 'unknown', 'coverage-low', []);
  if (cost === undefined) return say(state, 'unknown', 'no-price', []);
  const alike = input.nights.filter(
    (night) => night.basis === basis && night.coverage >= rule.coverage,
  );
  if (alike.length < ENOUGH) return say(state, 'unknown', 'too-few-nights', []);
  const usual = median(alike.map((night) => night.cost));
  const limit = Math.max(rule.times * usual, rule.floor);
  const isSure = learnedDays !== undefined && (offBy ?? 0) <= POOR;
  // A tank whose size says half as much again every night must not cry wolf every night.
  const weighed = isSure ? cost : (tonight.costLow ?? cost);
  const isTimely = state.dear.since !== undefined || tonight.until - now >= WORTH_SAYING;
  const dear = latch(
    state.dear,
    { over: isTimely && weighed > limit, calm: weighed < CALM * limit, hold: HOLD, settle: HOLD },
    now,
  );
  const until = dear.since === undefined ? state.until : tonight.until;
  const isSame = dear === state.dear && until === state.until;
  const next = isSame ? state : { dear, until };
  const proof: Evidence[] = [];
  if (usual > 0) note(proof, 'cost-of-usual', cost / usual, 'fraction');
  note(proof, 'forecast-coverage', coverage, 'fraction');
  if (learnedDays !== undefined) note(proof, 'learned-over', learnedDays * DAY, 'ms');
  note(proof, 'usually-off', offBy, 'fraction');
  if (dear.since === undefined) return say(next, 'quiet', 'as-usual', proof);
  const causes = causesOf({ ...tonight, cost }, alike);
  const more = cost - usual;
  if (causes !== undefined && more > 0) {
    note(proof, 'by-weather', causes.weather / more, 'fraction');
    note(proof, 'by-price', causes.price / more, 'fraction');
    note(proof, 'by-use', causes.use / more, 'fraction');
  }
  const { finding } = say(next, 'raised', reasonOf(causes), proof);
  return { state: next, finding: { ...finding, confidence: isSure ? 'likely' : 'possible' } };
}
