import type { Reading } from '../readings/index.ts';
import { DAY, type Instant, MINUTE, type WattHours } from '../units/index.ts';
import { carried, firstRead, LONGEST_REFRESH, lagOf } from './belief.ts';
import { leaveBlank } from './bridge.ts';
import { forgetPending, pendingEnergy, rememberGap } from './pending.ts';
import {
  type CounterDraft,
  type CounterState,
  type Draft,
  note,
  type RegisterState,
  type Work,
} from './state.ts';

/** Readings only older than the last one for this long, and this many: the clock was set back. */
const SET_BACK_AFTER = 15 * MINUTE;
const SET_BACK_READINGS = 3;
/** Longer than this, energy can hardly be placed in time, and it is rather the clock that jumped. */
const LONGEST_SPREAD = 62 * DAY;
/** Silent for longer, nobody can say when something was drawn. */
const LONGEST_SILENCE = 400 * DAY;

/**
 * True for a reading to drop because a newer one was taken. A clock that had run ahead and was set
 * back would silence the plug until it catches up, so after a while of nothing else the meter goes
 * on from the time the readings now have: see `goOnFrom`.
 */
export function isLate(work: Work, reading: Reading, at: Instant, last: Instant): boolean {
  const { state } = work;
  const arrived = (Math.round(reading.arrived) + 0) as Instant;
  const before = state.behind;
  if (at >= last) {
    if (before !== null) caughtUp(state, (at - Math.max(arrived - before.since, 0)) as Instant);
    state.behind = null;
    return false;
  }
  const behind =
    before === null || arrived < before.since
      ? { since: arrived, count: 1 }
      : { since: before.since, count: before.count + 1 };
  if (behind.count < SET_BACK_READINGS || arrived - behind.since < SET_BACK_AFTER) {
    state.behind = behind;
    note(work, 'out-of-order', at, last, at, reading.register);
    return true;
  }
  state.power = null;
  goOnFrom(work, at, arrived, behind.since);
  note(work, 'clock-rebased', at, last, at, reading.register);
  return false;
}

/** A clock that was set back a little: it stood still for us, but the counter went on meanwhile. */
function caughtUp(state: Draft, since: Instant): void {
  if (state.counter !== null) {
    state.counter.moved = Math.min(state.counter.moved, since) as Instant;
  }
  for (const [id, register] of Object.entries(state.registers ?? {})) {
    const moved = Math.min(register.counter.moved, since) as Instant;
    setRegister(state, id, { ...register, counter: { ...register.counter, moved } });
  }
}

/** Whether so long a time has passed since a counter was read that it may be the clock's doing. */
export const isTooFarAhead = (state: Draft, counter: CounterState, at: Instant): boolean =>
  Math.max(at, state.until ?? at) - counter.at > LONGEST_SPREAD;

/**
 * Goes on over a leap of the clock by months. What the plug can have drawn in a quarter of an hour
 * may as well have been drawn while a clock was set: it is taken so. More than that shows that time
 * has truly passed, up to a year: then nothing is wrong, and it is spread over that silence.
 */
export function goOnAhead(
  work: Work,
  counter: CounterState,
  at: Instant,
  wh: WattHours,
  arrived: Instant,
): void {
  const { spec, state } = work;
  const silence = at - counter.at;
  const isMuch = Math.abs(wh - counter.wh) > carried(spec, LONGEST_REFRESH) + (counter.step ?? 0);
  const hasPassed = passed(counter, arrived) > LONGEST_SPREAD && silence > LONGEST_SPREAD;
  if (isMuch && hasPassed && silence <= LONGEST_SILENCE) return;
  if ((state.until ?? at) > at) state.power = null;
  const before = counter.at;
  goOnFrom(work, at, arrived, undefined);
  note(work, 'clock-rebased', at, before, at);
}

const passed = (counter: CounterState, arrived: Instant): number =>
  arrived - (counter.at + (counter.lag ?? 0));

/**
 * Takes the counters along to another time. What they have risen by since they were last believed
 * is exact: it falls into the time that has passed since then by arrivals; where those jumped as
 * well, since the first reading of the new time; where nothing is known, into the slot of arrival,
 * and is believed up to what the plug can carry in 15 minutes. What was booked under the wrong time
 * stays there, and the counter's next step is less by it, so that nothing is booked twice. Time that
 * a clock shows a second time is not covered a second time.
 */
function goOnFrom(work: Work, at: Instant, arrived: Instant, since: Instant | undefined): void {
  const { spec, state } = work;
  const booked = state.kept + pendingEnergy(state);
  forgetPending(state);
  state.kept = booked;
  state.suspect = null;
  state.behind = null;
  const isAhead = since === undefined && (state.until ?? at) <= at;
  state.until = at;
  const place = (counter: CounterState): CounterDraft => {
    const from = whenRead(counter, at, arrived, since);
    const read = { at: from, wh: counter.wh, lag: lagOf(at, arrived) };
    const placed = firstRead(spec, read, counter.step);
    placed.moved = Math.min(from, at - LONGEST_REFRESH) as Instant;
    return placed;
  };
  for (const [id, register] of Object.entries(state.registers ?? {})) {
    setRegister(state, id, { ...register, counter: place(register.counter), suspect: null });
  }
  if (state.counter === null) return;
  state.counter = place(state.counter);
  const from = state.counter.at;
  if (from === at) return;
  if (isAhead) leaveBlank(work, from, at);
  else rememberGap(state, [from, at, from, 0, 0, true]);
}

/** When, by the time that now holds, a counter was last read. */
function whenRead(
  counter: CounterState,
  at: Instant,
  arrived: Instant,
  since: Instant | undefined,
): Instant {
  const span = passed(counter, arrived);
  if (span >= 0 && span <= LONGEST_SPREAD) return (at - span) as Instant;
  return (since === undefined ? at : at - (arrived - since)) as Instant;
}

export function setRegister(state: Draft, id: string, register: RegisterState): void {
  state.registers = { ...state.registers, [id]: register };
}
