import type { Instant, Millis, WattHours, Watts } from '../units/index.ts';
import type { MeterEvent, MeterNote, MeterSpec, Posting } from './meter.ts';

/**
 * What was integrated in `slots` slots in a row, the same in each: mWh, ms, ms per slot. Runs keep
 * the state of a device that is off for days small. A slot may stand in several runs.
 */
export type Run = readonly [
  slot: Instant,
  slots: number,
  energy: number,
  covered: number,
  drawing: number,
];

/**
 * A span without power samples. From `from` to `bridgedTo` it was bridged at `watts`, of which
 * `duty` (0–1) drawing; the rest was booked nowhere. `again` where its time may be covered already,
 * as a clock that was set back has shown it twice.
 */
export type Gap = readonly [
  from: Instant,
  to: Instant,
  bridgedTo: Instant,
  watts: number,
  duty: number,
  again?: true,
];

/** Pending spans that a step of the counter settles. */
export interface Part {
  readonly runs: readonly Run[];
  readonly gaps: readonly Gap[];
}

/** The last counter reading that was believed. */
export interface CounterState {
  readonly at: Instant;
  readonly wh: WattHours;
  /** How long after its own time it arrived, where that is not the same. */
  readonly lag?: Millis | undefined;
  /** When it last moved, or was first read. */
  readonly moved: Instant;
  /** The smallest step seen, Wh; null before the first, 0 while only a retained value is known. */
  readonly step: number | null;
  /** The reading before the last silence, and when that silence ended. */
  readonly hushed: { readonly at: Instant; readonly wh: WattHours; readonly until: Instant };
  /** Where it restarts at midnight: the one from which it counts. */
  readonly since?: Instant;
}

/** A counter reading that waits for a second one to agree. */
export interface Suspect {
  readonly kind: 'drop' | 'leap';
  readonly at: Instant;
  readonly wh: WattHours;
  /** How many of the pending runs and gaps lie before it. */
  readonly runs: number;
  readonly gaps: number;
}

/** One of several counters of a plug. A round is the time in which each of them is heard once. */
export interface RegisterState {
  readonly counter: CounterState;
  readonly suspect: Suspect | null;
  /** What it has counted in this round and is not booked yet, mWh. */
  readonly risen: number;
  readonly heard: boolean;
  /** False where part of what flowed in this round is lost with it: it has just begun or rolled back. */
  readonly complete: boolean;
}

/**
 * All that one plug's meter remembers: plain JSON, stored with the postings it led to, in the same
 * transaction. Writing it is half of what booking costs: what few plugs need is absent from the others. Everything from `open` to `kept` is pending: booked as integrated or bridged since
 * the counter last moved, to be withdrawn when it moves.
 */
export interface MeterState {
  readonly version: 2;
  /** Time is accounted for until here: sampled, bridged or unknown. */
  readonly until: Instant | null;
  /** How often the plug reports, as learned. */
  readonly usual: Millis | null;
  /** The last sample; it holds from `until` on unless the plug has gone. */
  readonly power: { readonly at: Instant; readonly watts: Watts; readonly holds: boolean } | null;
  /** Means over the last day or so of sampled time. */
  readonly mean: { readonly time: Millis; readonly watts: number; readonly duty: number };
  /** The part of a mWh that rounding has left over, −0.5 to 0.5. */
  readonly crumb: number;
  /** With several counters: how far their sum is booked, and all of it, Wh. */
  readonly counter: CounterState | null;
  readonly suspect: Suspect | null;
  /** The counters of a plug that has several, by their ids. */
  readonly registers?: Readonly<Record<string, RegisterState>> | undefined;
  /** The run being added to. */
  readonly open: Run | null;
  readonly runs: readonly Run[];
  readonly gaps: readonly Gap[];
  /** mWh of runs too old to keep: they stay booked as they are, and the counter's next step is less by them. */
  readonly kept: number;
  /** While the counter is stuck: mWh that stand as sampled since it moved. */
  readonly standing?: number | undefined;
  /** Readings older than the last one, without any newer in between: since which arrival, how many. */
  readonly behind: { readonly since: Instant; readonly count: number } | null;
}

export const beginMeter = (): MeterState => ({
  version: 2,
  until: null,
  usual: null,
  power: null,
  mean: { time: 0 as Millis, watts: 0, duty: 0 },
  crumb: 0,
  counter: null,
  suspect: null,
  open: null,
  runs: [],
  gaps: [],
  kept: 0,
  behind: null,
});

type Mutable<T> = { -readonly [K in keyof T]: T[K] };

export type CounterDraft = Mutable<Omit<CounterState, 'hushed'>> & {
  readonly hushed: Mutable<CounterState['hushed']>;
};

/**
 * A state that its owner lets change. What nearly every reading changes is written in place: with
 * thousands of plugs, new objects for each would keep the garbage collector busier than the books.
 */
export type Draft = Mutable<Omit<MeterState, 'mean' | 'power' | 'counter' | 'open'>> & {
  readonly mean: Mutable<MeterState['mean']>;
  power: Mutable<NonNullable<MeterState['power']>> | null;
  counter: CounterDraft | null;
  open: Mutable<Run> | null;
};

/** A draft that shares nothing that changes with the state it begins as. */
export const draftOf = (state: MeterState): Draft => ({
  ...state,
  mean: { ...state.mean },
  power: state.power === null ? null : { ...state.power },
  counter:
    state.counter === null ? null : { ...state.counter, hushed: { ...state.counter.hushed } },
  open: state.open === null ? null : [...state.open],
});

/** One step under way: the state being written, and what it books and notes. */
export interface Work {
  readonly spec: MeterSpec;
  readonly state: Draft;
  readonly postings: Posting[];
  readonly notes: MeterNote[];
}

export function note(
  work: Work,
  event: MeterEvent,
  at: Instant,
  before: number | undefined,
  found: number,
  register?: string,
): void {
  const { plug } = work.spec;
  work.notes.push(
    register === undefined
      ? { event, plug, at, before, found }
      : { event, plug, register, at, before, found },
  );
}
