import type { AlertWatch } from '../../src/alerts/index.ts';
import type { Fault } from '../../src/simulator/index.ts';
import { type Instant, later } from '../../src/units/index.ts';
import type { Place } from './place.ts';
import type { Symptoms } from './symptoms.ts';

/** One fault from the moment it strikes until nothing can come of it any more. */
export interface Trial {
  readonly fault: Fault;
  readonly place: Place;
  readonly symptoms: Symptoms;
  /** When it ends by itself, if no keeper comes before. */
  readonly endsBy: Instant;
  readonly setBefore: number | undefined;
  readonly wattsBefore: number | undefined;
  /** Since when the rule that should tell it has truly held without a break, and its hold, ms. */
  holdsSince: Instant | undefined;
  hold: number;
  /** The first time it has held for twice its hold. */
  overdue: { readonly since: Instant; readonly hold: number } | undefined;
  /** The first alert that told it. */
  found: Found | undefined;
  keeperComes: Instant | undefined;
  mended: Instant | undefined;
  /** Time in which nobody was to be told, as the broker was away or a keeper at work, ms. */
  muted: number;
  /** How often the daemon, or the way to it, broke down meanwhile. */
  breakdowns: number;
}

/** A trial as its fault strikes: nothing is known of it yet. */
export const beginTrial = (
  struck: Pick<Trial, 'fault' | 'place' | 'symptoms' | 'endsBy' | 'setBefore' | 'wattsBefore'>,
): Trial => ({
  ...struck,
  holdsSince: undefined,
  hold: 0,
  overdue: undefined,
  found: undefined,
  keeperComes: undefined,
  mended: undefined,
  muted: 0,
  breakdowns: 0,
});

export interface Found {
  readonly at: Instant;
  readonly watch: AlertWatch;
  /** From the moment from which the rule held, muted time left out; 0 for what was told before, ms. */
  readonly delay: number;
  readonly hold: number | undefined;
  /** Of a heater that sticks: the part of the way to the kept maximum that the water had gone. */
  readonly marginUsed: number | undefined;
}

/** What became of a trial. */
export interface Case {
  readonly fault: Fault;
  readonly target: string;
  readonly mended: Instant;
  /** unshown: no rule held for long enough to be broken. */
  readonly outcome: 'found' | 'late' | 'missed' | 'unshown';
  readonly found: Found | undefined;
  /** Since when the rule held that nobody told. */
  readonly heldSince: Instant | undefined;
  readonly breakdowns: number;
}

/** Notes whether the rule holds at this minute; `hold` as the symptoms say, undefined for no. */
export function watchRule(trial: Trial, hold: number | undefined, now: Instant): void {
  if (hold === undefined) {
    trial.holdsSince = undefined;
    return;
  }
  if (trial.holdsSince === undefined) {
    trial.holdsSince = now;
    trial.muted = 0;
  }
  trial.hold = hold;
  if (trial.overdue === undefined && now - trial.holdsSince - trial.muted >= 2 * hold) {
    trial.overdue = { since: trial.holdsSince, hold };
  }
}

/** An alert has told it. Only the first one counts. */
export function markFound(
  trial: Trial,
  told: { readonly at: Instant; readonly watch: AlertWatch; readonly marginUsed?: number },
): void {
  if (trial.found !== undefined) return;
  const { at, watch, marginUsed } = told;
  const held =
    trial.overdue ??
    (trial.holdsSince === undefined ? undefined : { since: trial.holdsSince, hold: trial.hold });
  trial.found = {
    at,
    watch,
    delay: held === undefined ? 0 : Math.max(0, at - held.since - trial.muted),
    hold: held?.hold,
    marginUsed,
  };
}

/** The case that a trial has been, once it is mended. */
export function closeTrial(trial: Trial): Case {
  const { fault, place, found, overdue } = trial;
  const isLate = found?.hold !== undefined && found.delay > 2 * found.hold;
  const outcome =
    found !== undefined
      ? isLate
        ? 'late'
        : 'found'
      : overdue !== undefined
        ? 'missed'
        : 'unshown';
  return {
    fault,
    target: place.target,
    mended: trial.mended ?? trial.endsBy,
    outcome,
    found,
    heldSince: overdue?.since,
    breakdowns: trial.breakdowns,
  };
}

export const isOver = ({ mended, symptoms }: Trial, now: Instant): boolean =>
  mended !== undefined && now >= later(mended, symptoms.aftermath);
