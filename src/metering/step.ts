import type { Reading } from '../readings/index.ts';
import { type Instant, MINUTE, type WattHours, type Watts } from '../units/index.ts';
import { LIMIT_MARGIN, takeCounter } from './counter.ts';
import { advance } from './integrate.ts';
import type { MeterNote, MeterSpec, Posting } from './meter.ts';
import { forgetPending } from './pending.ts';
import { type Draft, draftOf, type MeterState, note, type Work } from './state.ts';

export interface MeterStep {
  readonly state: MeterState;
  readonly postings: readonly Posting[];
  readonly notes: readonly MeterNote[];
}

/** What a step changed: `moved` tells whether the state is another one now. */
export interface MeterChange {
  readonly moved: boolean;
  readonly postings: readonly Posting[];
  readonly notes: readonly MeterNote[];
}

const NOTHING: MeterChange = { moved: false, postings: [], notes: [] };
/** Readings only older than the last one for this long, and this many: the clock was set back. */
const SET_BACK_AFTER = 15 * MINUTE;
const SET_BACK_READINGS = 3;
/** What a calendar can express, ms either side of 1970. */
const CALENDAR = 8.64e15;

/**
 * Takes one reading of a plug: the next state, and what to book and to note because of it. Pure;
 * throws on nothing. State and postings belong into one transaction: a lost pair is as if the
 * readings had not come, and the next counter reading makes up for them.
 *
 * Retained readings are ignored, but for a counter that has no baseline yet. Readings of probes and
 * of other measures leave everything as it is.
 */
export function meter(spec: MeterSpec, state: MeterState, reading: Reading): MeterStep {
  const draft = draftOf(state);
  const { moved, postings, notes } = meterInPlace(spec, draft, reading);
  return { state: moved ? draft : state, postings, notes };
}

/** The same step for an owner of the state, who lets it change and keeps no other hold on it. */
export function meterInPlace(spec: MeterSpec, state: Draft, reading: Reading): MeterChange {
  const { measure, value } = reading;
  const at = (Math.round(reading.at) + 0) as Instant;
  const isSane =
    Number.isFinite(value) && Math.abs(at) < CALENDAR && Math.abs(reading.arrived) < CALENDAR;
  if (reading.from !== 'plug' || !isSane) return NOTHING;
  if (reading.retained && (measure !== 'counter' || state.counter !== null)) return NOTHING;
  if (measure === 'power') return meterPower(spec, state, reading, at);
  if (measure === 'counter') return meterCounter(spec, state, reading, at);
  if (measure === 'presence' && value === 0) return meterGone(spec, state, at);
  return NOTHING;
}

const begin = (spec: MeterSpec, state: Draft): Work => ({ spec, state, postings: [], notes: [] });

const done = ({ postings, notes }: Work): MeterChange => ({ moved: true, postings, notes });

function meterPower(spec: MeterSpec, state: Draft, reading: Reading, at: Instant): MeterChange {
  const { value } = reading;
  const work = begin(spec, state);
  const watts = Math.max(value, 0) as Watts;
  const last = state.power;
  if (value > spec.limit * LIMIT_MARGIN) {
    note(work, 'over-limit', at, last?.watts, value);
    return done(work);
  }
  if (last !== null && at === last.at && watts === last.watts) {
    note(work, 'duplicate', at, last.watts, value);
    return done(work);
  }
  if (last !== null && isLate(work, reading, at, last.at)) return done(work);
  if (value < 0) note(work, 'negative-power', at, last?.watts, value);
  // A sample from before the plug went off the air does not bring it back.
  const holds = last === null || last.holds || at >= (state.until ?? at);
  advance(work, at, watts);
  const power = state.power;
  if (power === null) {
    state.power = { at, watts, holds };
  } else {
    power.at = at;
    power.watts = watts;
    power.holds = holds;
  }
  return done(work);
}

function meterCounter(spec: MeterSpec, state: Draft, reading: Reading, at: Instant): MeterChange {
  const work = begin(spec, state);
  const last = state.suspect ?? state.counter;
  if (last !== null && at === last.at && reading.value === last.wh) {
    note(work, 'duplicate', at, last.wh, reading.value);
    return done(work);
  }
  if (last !== null && isLate(work, reading, at, last.at)) return done(work);
  takeCounter(work, at, (reading.value + 0) as WattHours, reading.retained);
  return done(work);
}

/** The plug has left the air: its last power holds until now and no longer. */
function meterGone(spec: MeterSpec, state: Draft, at: Instant): MeterChange {
  const { power } = state;
  if (power === null || !power.holds || at < power.at) return NOTHING;
  const work = begin(spec, state);
  advance(work, at, undefined);
  power.holds = false;
  return done(work);
}

/**
 * True for a reading to drop because a newer one was taken. A clock that had run ahead and was set
 * back would silence the plug until it catches up, so after a while of nothing else the meter
 * starts over from the time the readings now have.
 */
function isLate(work: Work, reading: Reading, at: Instant, last: Instant): boolean {
  const { state } = work;
  if (at >= last) {
    state.behind = null;
    return false;
  }
  const arrived = (reading.arrived + 0) as Instant;
  const behind =
    state.behind === null || arrived < state.behind.since
      ? { since: arrived, count: 1 }
      : { since: state.behind.since, count: state.behind.count + 1 };
  if (behind.count < SET_BACK_READINGS || arrived - behind.since < SET_BACK_AFTER) {
    state.behind = behind;
    note(work, 'out-of-order', at, last, at);
    return true;
  }
  startOver(state, at);
  note(work, 'clock-rebased', at, last, at);
  return false;
}

function startOver(state: Draft, at: Instant): void {
  forgetPending(state);
  state.until = at;
  state.power = null;
  state.counter = null;
  state.suspect = null;
  state.behind = null;
}
