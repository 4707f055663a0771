import { DAY, type Instant, SLOT } from '../units/index.ts';
import type { Draft, Gap, MeterState, Part, Run } from './state.ts';

/** Longer than any counter of 0.1 kWh steps needs behind a load of 1 W. */
const OLDEST = 7 * DAY;
const MOST_GAPS = 200;

/** Remembers what was just booked as integrated in a slot, for the counter to settle later. */
export function remember(
  state: Draft,
  slot: Instant,
  energy: number,
  covered: number,
  drawing: number,
): void {
  if (state.counter === null) return;
  if (state.standing !== undefined && state.suspect === null) {
    state.standing += energy;
    return;
  }
  const open = state.open;
  if (open !== null && open[0] === slot) {
    open[2] += energy;
    open[3] += covered;
    open[4] += drawing;
    return;
  }
  closeOpen(state);
  state.open = [slot, 1, energy, covered, drawing];
  letGoOfTheOldest(state, slot - OLDEST);
}

export function closeOpen(state: Draft): void {
  const { open, runs } = state;
  if (open === null) return;
  const last = runs.at(-1);
  const mayJoin = runs.length > (state.suspect?.runs ?? 0);
  if (last !== undefined && mayJoin && continues(last, open)) {
    const joined: Run = [last[0], last[1] + 1, last[2], last[3], last[4]];
    state.runs = [...runs.slice(0, -1), joined];
  } else {
    state.runs = [...runs, open];
  }
  state.open = null;
}

const continues = (run: Run, next: Run): boolean =>
  run[0] + run[1] * SLOT === next[0] &&
  run[2] === next[2] &&
  run[3] === next[3] &&
  run[4] === next[4];

/** Remembers a span without samples. */
export function rememberGap(state: Draft, gap: Gap): void {
  if (state.counter === null) return;
  if (state.standing !== undefined && state.suspect === null) {
    state.standing += bridgedEnergy(gap, gap[2]);
    return;
  }
  const last = state.gaps.at(-1);
  const mayJoin = state.gaps.length > (state.suspect?.gaps ?? 0);
  if (last !== undefined && mayJoin && last[1] === gap[0] && areBlank(last, gap)) {
    const joined: Gap = [last[0], gap[1], last[0], 0, 0];
    state.gaps = [...state.gaps.slice(0, -1), joined];
  } else {
    state.gaps = [...state.gaps, gap];
  }
  if (state.gaps.length > MOST_GAPS) dropGap(state);
}

const areBlank = (one: Gap, other: Gap): boolean =>
  isBlank(one) && isBlank(other) && one[5] === undefined && other[5] === undefined;

/** Energy of the bridged part of a gap from its start to `at`, in whole mWh. */
export const bridgedEnergy = (gap: Gap, at: number): number =>
  Math.round((gap[3] * (at - gap[0])) / 3600) + 0;

export const isBlank = (gap: Gap): boolean => gap[2] === gap[0];

/** True while something is booked by estimate that the counter may correct. */
export const isEstimated = (state: Draft): boolean =>
  state.open !== null || state.runs.length > 0 || !state.gaps.every(isBlank);

/** All that a step of the counter settles. */
export const pendingPart = (state: Draft): Part => ({
  runs: state.open === null ? state.runs : [...state.runs, state.open],
  gaps: state.gaps,
});

/** What is booked by estimate, mWh. */
export function pendingEnergy(state: MeterState): number {
  let energy = state.open?.[2] ?? 0;
  for (const [, slots, each] of state.runs) energy += slots * each;
  for (const gap of state.gaps) energy += bridgedEnergy(gap, gap[2]);
  return energy;
}

export function forgetPending(state: Draft): void {
  state.open = null;
  state.runs = [];
  state.gaps = [];
  state.kept = 0;
}

function letGoOfTheOldest(state: Draft, oldest: number): void {
  let first = state.runs[0];
  while (first !== undefined && first[0] < oldest) {
    state.kept += first[2];
    if (first[1] > 1) {
      const shorter: Run = [
        (first[0] + SLOT) as Instant,
        first[1] - 1,
        first[2],
        first[3],
        first[4],
      ];
      state.runs = [shorter, ...state.runs.slice(1)];
    } else {
      state.runs = state.runs.slice(1);
      const suspect = state.suspect;
      if (suspect !== null && suspect.runs > 0) {
        state.suspect = { ...suspect, runs: suspect.runs - 1 };
      }
    }
    first = state.runs[0];
  }
  while ((state.gaps[0]?.[1] ?? oldest) < oldest) dropGap(state);
}

function dropGap(state: Draft): void {
  const gap = state.gaps[0];
  if (gap === undefined) return;
  state.kept += bridgedEnergy(gap, gap[2]);
  state.gaps = state.gaps.slice(1);
  const suspect = state.suspect;
  if (suspect !== null && suspect.gaps > 0) {
    state.suspect = { ...suspect, gaps: suspect.gaps - 1 };
  }
}
