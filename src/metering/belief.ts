import { type Instant, MINUTE, type Millis, SECOND, type WattHours } from '../units/index.ts';
import type { MeterSpec } from './meter.ts';
import { restartNear, restartsBetween } from './midnight.ts';
import type { CounterDraft, CounterState, Suspect } from './state.ts';

/** Mains voltage and the plug's own error allow this much beyond the stated limit. */
export const LIMIT_MARGIN = 1.2;
/** The coarsest step a plug's counter has, Wh: believed until a smaller one is seen. */
export const COARSEST_STEP = 100;
/** Some plugs refresh their counter this seldom, though they send it more often. */
export const LONGEST_REFRESH = 15 * MINUTE;
/** Differences of decimal fractions are off by less than this, Wh: the same step is no larger one. */
const NOISE = 0.0005;
/**
 * A broker that kept messages while we were away delivers them at once, with hardly any time in
 * between: readings that follow each other so closely, for so long, may share the time of the
 * silence before them.
 */
const BACKLOG_PAUSE = 5 * SECOND;
const LONGEST_BACKLOG = MINUTE;
/** Nor is a drop confirmed sooner: a broker may deliver again what had been taken in already. */
const DROP_LASTS = SECOND;

export type Lag = CounterState['lag'];

export const lagOf = (at: Instant, arrived: Instant): Lag =>
  arrived === at ? undefined : ((arrived - at) as Millis);

/** A counter as read for the first time; how old a retained value is, nobody knows: step 0. */
export function firstRead(
  spec: MeterSpec,
  { at, wh, lag }: Pick<CounterState, 'at' | 'wh' | 'lag'>,
  step: number | null,
): CounterDraft {
  const counter: CounterDraft = { at, wh, moved: at, step, hushed: { at, wh, until: at } };
  if (lag !== undefined) counter.lag = lag;
  if (spec.calendar !== undefined) counter.since = spec.calendar.day(at).from;
  return counter;
}

/** 'restart' for a count that began anew at the plug's midnight, however large it is by now. */
type Doubt = Suspect['kind'] | 'restart';

/** What is wrong with `wh` after `counter`, if anything. */
function doubt(spec: MeterSpec, counter: CounterState, wh: number, at: Instant): Doubt | undefined {
  if (spec.calendar !== undefined && midnightOf(spec, counter, wh, at) !== undefined) {
    return 'restart';
  }
  const rise = wh - counter.wh;
  if (rise < 0 && !spec.bidirectional) return 'drop';
  if (Math.abs(rise) <= mostSince(spec, counter, at) + NOISE) return undefined;
  return rise < 0 ? 'drop' : 'leap';
}

export type Verdict =
  | 'believed'
  | 'restarted' // at a midnight, unseen
  | 'confirmed' // it bears the suspected reading out
  | 'wait' // it may be the suspected reading again
  | Suspect['kind'];

/** What to make of a counter reading, after the last believed one and perhaps a suspected one. */
export function judge(
  spec: MeterSpec,
  counter: CounterState,
  suspect: Suspect | null,
  wh: number,
  at: Instant,
): Verdict {
  const kind = doubt(spec, counter, wh, at);
  if (kind === undefined) return 'believed';
  if (kind === 'restart' && wh >= counter.wh) return 'restarted';
  const isHasty = suspect !== null && suspect.kind === 'drop' && at - suspect.at < DROP_LASTS;
  if (kind === 'restart') return suspect === null ? 'drop' : isHasty ? 'wait' : 'restarted';
  if (suspect === null || !agrees(spec, counter, suspect, wh, at)) return kind;
  return isHasty ? 'wait' : 'confirmed';
}

/** The midnight since which the plug has counted `wh`, if it restarted there unseen. */
export function midnightOf(
  spec: MeterSpec,
  counter: CounterState,
  wh: number,
  at: Instant,
): Instant | undefined {
  if (spec.calendar === undefined || wh < 0) return undefined;
  return restartsBetween(spec.calendar, counter, at).find(
    ({ earliest }) => wh <= carried(spec, at - earliest) + (counter.step ?? 0) + NOISE,
  )?.midnight;
}

/** The most the plug can have counted since the last reading, Wh. */
function mostSince(spec: MeterSpec, counter: CounterState, at: Instant): number {
  const refreshed = counter.step === 0 ? 0 : Math.min(at - counter.moved, LONGEST_REFRESH);
  const elapsed = Math.max(at - counter.at, refreshed);
  const { hushed } = counter;
  const left = isBacklog(counter, at)
    ? carried(spec, at - hushed.at) - Math.abs(counter.wh - hushed.wh)
    : 0;
  return Math.max(carried(spec, elapsed), left) + stepOf(counter);
}

/** The most the plug can carry in `span` ms, Wh. */
export const carried = (spec: MeterSpec, span: number): number =>
  (spec.limit * LIMIT_MARGIN * span) / 3_600_000;

const stepOf = (counter: CounterState): number => counter.step ?? COARSEST_STEP;

const isBacklog = (counter: CounterState, at: Instant): boolean =>
  at - counter.at < BACKLOG_PAUSE && at - counter.hushed.until < LONGEST_BACKLOG;

/** Whether a second reading bears the suspected one out. */
function agrees(
  spec: MeterSpec,
  counter: CounterState,
  suspect: Suspect,
  wh: number,
  at: Instant,
): boolean {
  const from = firstRead(spec, { ...suspect, lag: counter.lag }, counter.step);
  return doubt(spec, from, wh, at) === undefined;
}

/** Goes on to a reading that is believed. */
export function moveOn(counter: CounterDraft, at: Instant, wh: WattHours, lag: Lag): void {
  const rise = Math.abs(wh - counter.wh);
  const step = counter.step || null;
  if (!isBacklog(counter, at)) {
    const { hushed } = counter;
    hushed.at = counter.at;
    hushed.wh = counter.wh;
    hushed.until = at;
  }
  counter.at = at;
  counter.wh = wh;
  if (lag !== counter.lag) counter.lag = lag;
  counter.step = rise === 0 ? step : Math.min(step ?? rise, rise);
  if (rise !== 0) counter.moved = at;
}

export interface Explained {
  readonly event: 'leap-rebased' | 'counter-wrapped' | 'counter-reset' | 'counter-rolled-back';
  /** mWh to book up to the suspected reading; undefined where nothing can be said. */
  readonly energy: number | undefined;
  /** The midnight at which it started again. */
  readonly since?: Instant;
}

/** What a confirmed drop or leap was. */
export function explain(spec: MeterSpec, counter: CounterState, suspect: Suspect): Explained {
  const most = mostSince(spec, counter, suspect.at);
  const wrapped = acrossWidth(spec, counter, suspect, most);
  if (wrapped !== undefined) return { event: 'counter-wrapped', energy: wrapped };
  if (suspect.kind === 'leap') return { event: 'leap-rebased', energy: undefined };
  const isNearZero = suspect.wh >= 0 && suspect.wh <= most;
  if (!isNearZero) return { event: 'counter-rolled-back', energy: undefined };
  const energy = position(suspect.wh);
  const { calendar } = spec;
  const since = calendar && restartNear(calendar, counter, suspect.at);
  if (since !== undefined) return { event: 'counter-reset', energy, since };
  return spec.counterRestarts === 'at-power-on' || suspect.wh <= counter.wh / 10
    ? { event: 'counter-reset', energy }
    : { event: 'counter-rolled-back', energy: undefined };
}

/** When a counter that fell near a midnight began anew: the plug's clock may be ahead of ours. */
export function begunAnew(
  spec: MeterSpec,
  counter: CounterState,
  suspect: Suspect,
  midnight: Instant,
): Instant {
  const from = Math.min(midnight, suspect.at) as Instant;
  const isEnough = suspect.wh <= carried(spec, suspect.at - from) + (counter.step ?? 0) + NOISE;
  return isEnough && from >= counter.at ? from : counter.at;
}

/** mWh that a counter of a stated width has counted across its end; undefined where it has not. */
function acrossWidth(
  spec: MeterSpec,
  counter: CounterState,
  suspect: Suspect,
  most: number,
): number | undefined {
  const width = spec.counterWrapsAt;
  if (width === undefined || counter.wh > width || suspect.wh < 0 || counter.wh < 0)
    return undefined;
  const turn = suspect.kind === 'drop' ? 1 : -1;
  if (turn === -1 && (!spec.bidirectional || suspect.wh > width)) return undefined;
  if (Math.abs(turn * width - counter.wh + suspect.wh) > most) return undefined;
  return turn * position(width) - position(counter.wh) + position(suspect.wh);
}

/** Where a counter stands, in whole mWh: differences of positions add up without drift. */
export const position = (wh: number): number => Math.round(wh * 1000) + 0;
