import type { Reading } from '../readings/index.ts';
import { DAY, type Instant, type WattHours, type Watts } from '../units/index.ts';
import { LIMIT_MARGIN } from './belief.ts';
import { isLate } from './clock.ts';
import { takeCounter } from './counter.ts';
import { advance } from './integrate.ts';
import type { MeterNote, MeterSpec, Posting } from './meter.ts';
import { endRound, fitRegisters, takeRegister } from './registers.ts';
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
/** Beyond this, a counter is no longer exact to the mWh. */
const LARGEST = Number.MAX_SAFE_INTEGER / 1000;
/** What a calendar can express, ms either side of 1970, less a few days to reckon with. */
const CALENDAR = 8.64e15 - 7 * DAY;

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
  if (measure === 'counter') return meterCounter(spec, state, reading, at);
  if (reading.retained) return NOTHING;
  if (measure === 'power') return meterPower(spec, state, reading, at);
  if (measure === 'presence' && value === 0) return meterGone(spec, state, at);
  return NOTHING;
}

const begin = (spec: MeterSpec, state: Draft): Work => ({ spec, state, postings: [], notes: [] });

const done = ({ postings, notes }: Work): MeterChange => ({ moved: true, postings, notes });

const refused = ({ postings, notes }: Work): MeterChange => ({ moved: false, postings, notes });

function meterPower(spec: MeterSpec, state: Draft, reading: Reading, at: Instant): MeterChange {
  const { value } = reading;
  const work = begin(spec, state);
  const isAgainst = value < 0 && !spec.signed;
  const watts = (isAgainst ? 0 : value + 0) as Watts;
  const last = state.power;
  if (Math.abs(watts) > spec.limit * LIMIT_MARGIN) {
    note(work, 'over-limit', at, last?.watts, value);
    return done(work);
  }
  if (last !== null && at === last.at && watts === last.watts) {
    note(work, 'duplicate', at, last.watts, value);
    return done(work);
  }
  if (isLate(work, reading, at, last?.at ?? at)) return done(work);
  if (isAgainst) note(work, 'negative-power', at, last?.watts, value);
  // A sample from before the plug went off the air does not bring it back.
  const holds = last === null || last.holds || at >= (state.until ?? at);
  if (state.registers !== undefined) endRound(work, at);
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
  const { register, retained } = reading;
  const wh = (reading.value + 0) as WattHours;
  const arrived = (Math.round(reading.arrived) + 0) as Instant;
  if (register === undefined ? spec.registers !== undefined : !spec.registers?.has(register)) {
    note(work, 'register-unknown', at, undefined, wh, register);
    return refused(work);
  }
  fitRegisters(spec, state);
  const known = register === undefined ? state : state.registers?.[register];
  const last = known?.suspect ?? known?.counter ?? null;
  if (Math.abs(wh) > LARGEST) {
    note(work, 'leap-suspected', at, last?.wh, wh, register);
    return done(work);
  }
  if (last !== null && retained) {
    if (wh !== last.wh) note(work, 'retained-ignored', at, last.wh, wh, register);
    return refused(work);
  }
  if (last !== null && at === last.at && wh === last.wh) {
    note(work, 'duplicate', at, last.wh, wh, register);
    return done(work);
  }
  if (isLate(work, reading, at, last?.at ?? at)) return done(work);
  if (register === undefined) takeCounter(work, at, wh, arrived, retained);
  else takeRegister(work, register, at, wh, arrived, retained);
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
