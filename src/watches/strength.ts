import type { Instant } from '../units/index.ts';
import { medianOf } from './median.ts';

/** What a heater draws when it heats, learned from its first runs and held against later ones. */
export interface Strength {
  /** The shape of this state. */
  readonly v: 1;
  /** Learning begins anew when the config names another, W. */
  readonly nameplate: number;
  /** When learning began: the first run, or a step up that held. */
  readonly since: Instant;
  /** Median powers of the first runs, W. */
  readonly first: readonly number[];
  /** Their median once there are enough, W. */
  readonly usual: number | undefined;
  /** Median powers of the last runs, the newest last, W. */
  readonly recent: readonly number[];
  /** The last step up that held. */
  readonly changed:
    | { readonly from: number; readonly to: number; readonly at: Instant }
    | undefined;
}

/** Estimates: a day or less of an ordinary heater's life. */
const FIRST_RUNS = 8;
const RECENT_RUNS = 8;
/** A step up is believed when so many runs in a row agree within so much. */
const STEP_RUNS = 5;
const STEP_AGREES = 0.05;
const STEP_UP = 0.15;
/** First runs that scatter more are those of a controller that doses power. */
const SCATTERS = 0.1;

const begun = (nameplate: number, since: Instant): Strength => ({
  v: 1,
  nameplate,
  since,
  first: [],
  usual: undefined,
  recent: [],
  changed: undefined,
});

/**
 * Folds the median power of one run in. The baseline never follows slowly: an element that fails
 * over months would take it along. Only a clear step up that holds makes a new one.
 */
export function learnStrength(
  before: Strength | undefined,
  run: { readonly power: number; readonly nameplate: number; readonly at: Instant },
): Strength {
  const { power, nameplate, at } = run;
  const state = before?.v === 1 && before.nameplate === nameplate ? before : begun(nameplate, at);
  const recent = [...state.recent, power].slice(-RECENT_RUNS);
  if (state.usual === undefined) {
    const first = [...state.first, power];
    return {
      ...state,
      first,
      recent,
      usual: first.length < FIRST_RUNS ? undefined : medianOf(first),
    };
  }
  const step = stepUp(recent, state.usual);
  if (step === undefined) return { ...state, recent };
  const changed = { from: state.usual, to: medianOf(step) ?? power, at };
  return { ...state, since: at, first: step, usual: changed.to, recent: step, changed };
}

function stepUp(recent: readonly number[], usual: number): readonly number[] | undefined {
  const last = recent.slice(-STEP_RUNS);
  const least = Math.min(...last);
  const agree = Math.max(...last) - least <= STEP_AGREES * least;
  return last.length === STEP_RUNS && agree && least > usual * (1 + STEP_UP) ? last : undefined;
}

/** Its first runs did not agree: no baseline to hold others against. */
export function scatters({ first, usual }: Strength): boolean {
  if (usual === undefined) return false;
  const sorted = [...first].sort((a, b) => a - b);
  const low = sorted[Math.floor(sorted.length / 4)] ?? usual;
  const high = sorted[Math.floor((3 * sorted.length) / 4)] ?? usual;
  return high - low > SCATTERS * usual;
}
