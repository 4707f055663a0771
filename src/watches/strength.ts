import type { Instant } from '../units/index.ts';
import { medianOf } from './median.ts';

/** From one switching-on to the next switching-off. */
export interface Run {
  /** Median, W. */
  readonly power: number;
  /** Median of the mains meanwhile, V; undefined where the plug did not tell. */
  readonly volts: number | undefined;
}

/** What a heater draws when it heats, learned from its first runs and held against later ones. */
export interface Strength {
  /** The shape of this state. */
  readonly v: 2;
  /** Learning begins anew when the config names another, W. */
  readonly nameplate: number;
  /** When learning began: the first run, or a step up that held. */
  readonly since: Instant;
  readonly first: readonly Run[];
  /** The median of the first runs once there are enough, W at `volts`. */
  readonly usual: number | undefined;
  /** The last runs, the newest last. */
  readonly recent: readonly Run[];
  /** The last step up that held, W at `volts`. */
  readonly changed:
    | { readonly from: number; readonly to: number; readonly at: Instant }
    | undefined;
  /** The mains voltage to which all powers are reckoned, V; undefined where it is not known. */
  readonly volts: number | undefined;
}

/** As it was saved before plugs told their voltage: runs were plain powers, W. */
export type PlainStrength = Omit<Strength, 'v' | 'first' | 'recent' | 'volts'> & {
  readonly v: 1;
  readonly first: readonly number[];
  readonly recent: readonly number[];
};

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
  v: 2,
  nameplate,
  since,
  first: [],
  usual: undefined,
  recent: [],
  changed: undefined,
  volts: undefined,
});

const plainRun = (power: number): Run => ({ power, volts: undefined });

/** Reads what either release has saved. */
export const savedStrength = (saved: Strength | PlainStrength | undefined): Strength | undefined =>
  saved?.v !== 1
    ? saved
    : {
        ...saved,
        v: 2,
        first: saved.first.map(plainRun),
        recent: saved.recent.map(plainRun),
        volts: undefined,
      };

/**
 * What a run would have drawn at `volts`, W: the power of a resistance goes with the square of the
 * voltage (Joule's and Ohm's laws). As it was where either voltage is not known.
 */
export const powerAt = (volts: number | undefined, run: Run): number =>
  volts === undefined || run.volts === undefined ? run.power : run.power * (volts / run.volts) ** 2;

/** What the last runs drew, reckoned to the voltage at which it was learned, W; the newest last. */
export const recentPowers = ({ recent, volts }: Strength): readonly number[] =>
  recent.map((run) => powerAt(volts, run));

/**
 * Folds one run in. The baseline never follows slowly: an element that fails over months would take
 * it along. Only a clear step up that holds makes a new one. All is reckoned to the voltage that was
 * usual when it was learned; where the plug began to tell it only later, to what was usual then.
 */
export function learnStrength(
  before: Strength | undefined,
  run: Run & { readonly nameplate: number; readonly at: Instant },
): Strength {
  const { power, nameplate, at } = run;
  const state = before?.nameplate === nameplate ? before : begun(nameplate, at);
  const recent = [...state.recent, { power, volts: run.volts }].slice(-RECENT_RUNS);
  const volts = state.volts ?? usualVolts(recent);
  if (state.usual === undefined) {
    const first = [...state.first, { power, volts: run.volts }];
    return {
      ...state,
      first,
      recent,
      volts,
      usual:
        first.length < FIRST_RUNS ? undefined : medianOf(first.map((it) => powerAt(volts, it))),
    };
  }
  const last = recent.slice(-STEP_RUNS);
  const step = stepUp(
    last.map((it) => powerAt(volts, it)),
    state.usual,
  );
  if (step === undefined) return { ...state, recent, volts };
  const changed = { from: state.usual, to: step, at };
  return { ...state, since: at, first: last, usual: step, recent: last, changed, volts };
}

/** Known once every one of the last runs has told. */
function usualVolts(recent: readonly Run[]): number | undefined {
  const told = recent.flatMap(({ volts }) => volts ?? []);
  return told.length < RECENT_RUNS ? undefined : medianOf(told);
}

/** The power to which the last runs have stepped up, W. */
function stepUp(last: readonly number[], usual: number): number | undefined {
  const least = Math.min(...last);
  const agree = Math.max(...last) - least <= STEP_AGREES * least;
  return last.length === STEP_RUNS && agree && least > usual * (1 + STEP_UP)
    ? medianOf(last)
    : undefined;
}

/** Its first runs did not agree: no baseline to hold others against. */
export function scatters({ first, usual, volts }: Strength): boolean {
  if (usual === undefined) return false;
  const sorted = first.map((run) => powerAt(volts, run)).sort((a, b) => a - b);
  const low = sorted[Math.floor(sorted.length / 4)] ?? usual;
  const high = sorted[Math.floor((3 * sorted.length) / 4)] ?? usual;
  return high - low > SCATTERS * usual;
}
