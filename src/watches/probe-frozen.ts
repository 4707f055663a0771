import { DAY, type Instant, MINUTE, type Millis } from '../units/index.ts';
import type { WatchesConfig } from './config.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import { longestStill, type Stills } from './stills.ts';
import { drewOf, type HeaterView, note, type TankView } from './views.ts';

export type ProbeFrozenReason =
  | 'constant-while-heated'
  | 'moves'
  | 'as-still-as-ever' // no longer than it has been constant before
  | 'too-little-heat' // for the water to have moved
  | 'not-learned'
  | 'no-heater-heard' // nothing tells whether the water ought to move
  | 'size-unknown'
  | 'probe-silent';

export interface ProbeFrozenInput {
  readonly config: WatchesConfig;
  readonly stills: Stills | undefined;
  /** What it says, °C; undefined while it is silent. */
  readonly temperature: number | undefined;
  readonly at: Instant | undefined;
  /** The tank it hangs in, and the heaters there. */
  readonly tank: TankView;
  readonly heaters: readonly HeaterView[];
}

const HOLD = (5 * MINUTE) as Millis;
/** Heat worth so much, losses not counted, moves any probe; or twice its smallest step. K. */
const MOVES_ANY = 0.5;
const STEPS = 2;

/**
 * A probe that goes on saying the very same while a heater works. It is held against how long it has
 * ever stood still: a coarse one may show one value for hours.
 */
export function lookAtProbeFrozen(
  _before: undefined,
  input: ProbeFrozenInput,
  now: Instant,
): { state: undefined; finding: Finding } {
  const told = (
    verdict: Finding['verdict'],
    reason: ProbeFrozenReason,
    proof: Evidence[] = [],
  ) => ({
    state: undefined,
    finding: possibleWarning(verdict, reason, proof, HOLD),
  });
  const { config, stills, tank, at } = input;
  if (stills === undefined || input.temperature === undefined || at === undefined)
    return told('unknown', 'probe-silent');
  const rule = config.probe_frozen;
  const { since, step } = stills;
  const still = since === undefined ? 0 : at - since;
  if (still < rule.at_least_min * MINUTE) return told('quiet', 'moves');
  const longest = longestStill(stills);
  if (longest === undefined || step === undefined) return told('unknown', 'not-learned');
  if (still < rule.times_longest * longest) return told('quiet', 'as-still-as-ever');
  if (tank.prior === undefined) return told('unknown', 'size-unknown');
  const heard = input.heaters.filter(({ voice }) => voice === 'speaks');
  if (heard.length === 0) return told('unknown', 'no-heater-heard');
  const span = Math.min(still + now - at, DAY);
  const joules = heard.reduce(
    (sum, heater) => sum + (drewOf(heater, now, span).on / 1000) * (heater.onPower ?? 0),
    0,
  );
  const worth = joules / tank.prior.storeJPerK;
  if (worth < Math.max(MOVES_ANY, STEPS * step)) return told('quiet', 'too-little-heat');
  const proof: Evidence[] = [];
  note(proof, 'last-temperature', input.temperature, 'C', at);
  note(proof, 'constant-for', still, 'ms', since);
  note(proof, 'longest-constant', longest, 'ms');
  note(proof, 'heat-worth', worth, 'K');
  const { state, finding } = told('raised', 'constant-while-heated', proof);
  return { state, finding: { ...finding, confidence: 'likely' } };
}
