import { DAY, HOUR, type Instant } from '../units/index.ts';
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
  /** When the last of them ended; undefined in what an earlier release has saved. */
  readonly learnedAt?: Instant | undefined;
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

/** Estimates: with so many runs it can be judged, and with so many all that is usual has been seen. */
const FIRST_RUNS = 8;
const LEARNED_RUNS = 24;
/** Runs that follow closer than this say the same of the mains. */
const APART = 2 * HOUR;
const RECENT_RUNS = 8;
/** A step up is believed when so many runs in a row agree within so much. */
const STEP_RUNS = 5;
const STEP_AGREES = 0.05;
const STEP_UP = 0.15;
/**
 * First runs that scatter more are those of a controller that doses power: between the quarters, as a
 * part. Mains that wander by 6 % alone make up to 0.17 of it.
 */
const SCATTERS = { reckoned: 0.1, asMeasured: 0.25 } as const;
/** Mains of 6 % less where 6 % more were learned from, and a little. */
const BEFORE_A_DAY = 0.24;
/** Beyond the usual by this part is not usual any more. */
const NEAR = 0.04;

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
  const next = { ...state, recent, volts };
  if (teaches(next, powerAt(volts, run), at)) {
    const first = [...state.first, { power, volts: run.volts }];
    const usual = medianOf(first.map((it) => powerAt(volts, it)));
    return { ...next, first, learnedAt: at, usual: first.length < FIRST_RUNS ? undefined : usual };
  }
  const last = recent.slice(-STEP_RUNS);
  const step = stepUp(
    last.map((it) => powerAt(volts, it)),
    usualRange(next, STEP_UP),
  );
  if (step === undefined || state.usual === undefined) return next;
  const changed = { from: state.usual, to: step, at };
  return { ...next, since: at, first: last, learnedAt: at, usual: step, recent: last, changed };
}

/** Beside the first runs, some later ones that are as usual: mains take a day to show their worst. */
function teaches(state: Strength, power: number, at: Instant): boolean {
  const range = usualRange(state, STEP_UP);
  if (range === undefined) return true;
  const isApart = state.learnedAt !== undefined && Math.abs(at - state.learnedAt) >= APART;
  const isUsual = power >= range.low && power <= range.high;
  return state.first.length < LEARNED_RUNS && isApart && isUsual;
}

/**
 * Between what a run may lie and still be as usual, W at `volts`: off the median by `part`, or a
 * little beyond what was learned from where that already varies more, as without a voltage it does.
 * Undefined before the first runs.
 */
export function usualRange(
  { first, usual, volts, since, learnedAt }: Strength,
  part: number,
): { readonly low: number; readonly high: number } | undefined {
  if (usual === undefined) return undefined;
  const spansADay = learnedAt === undefined || learnedAt - since >= DAY;
  if (volts === undefined && !spansADay) {
    const off = 1 - Math.max(part, BEFORE_A_DAY);
    return { low: usual * off, high: usual / off };
  }
  const sorted = first.map((run) => powerAt(volts, run)).sort((a, b) => a - b);
  // The second of either end: one may have been a wrong sample.
  const [lowest, highest] = [sorted[1] ?? usual, sorted.at(-2) ?? usual];
  return {
    low: Math.min(usual * (1 - part), lowest * (1 - NEAR)),
    high: Math.max(usual * (1 + part), highest * (1 + NEAR)),
  };
}

/** Known once every one of the last runs has told. */
function usualVolts(recent: readonly Run[]): number | undefined {
  const told = recent.flatMap(({ volts }) => volts ?? []);
  return told.length < RECENT_RUNS ? undefined : medianOf(told);
}

/** The power to which the last runs have stepped up, W. */
function stepUp(
  last: readonly number[],
  range: { readonly high: number } | undefined,
): number | undefined {
  if (range === undefined || last.length < STEP_RUNS) return undefined;
  const least = Math.min(...last);
  const agree = Math.max(...last) - least <= STEP_AGREES * least;
  return agree && least > range.high ? medianOf(last) : undefined;
}

/** Its first runs did not agree: no baseline to hold others against. */
export function scatters({ first, usual, volts }: Strength): boolean {
  if (usual === undefined) return false;
  const sorted = first.map((run) => powerAt(volts, run)).sort((a, b) => a - b);
  const low = sorted[Math.floor(sorted.length / 4)] ?? usual;
  const high = sorted[Math.floor((3 * sorted.length) / 4)] ?? usual;
  return high - low > (volts === undefined ? SCATTERS.asMeasured : SCATTERS.reckoned) * usual;
}
