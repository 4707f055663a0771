import { HOUR, type Instant, MINUTE, type Millis } from '../units/index.ts';
import type { Evidence, Finding } from './finding.ts';
import { FIRST_WORD, type Manner, type Patience } from './gaps.ts';
import { type Latch, latch, openLatch } from './latch.ts';
import { note } from './views.ts';

/** Plugs and probes fall silent alike. */
export type SilenceReason =
  | 'gone' // its availability topic or last will says so
  | 'silent' // three usual intervals without a word
  | 'silent-longer-than-ever' // speaks on change, and has never been silent so long
  | 'never-heard' // since the start, though there was time
  | 'not-heard-yet'
  | 'on-the-air' // silent, but its availability topic says that it is there
  | 'speaks-again' // but not yet for as long as it may be silent
  | 'speaks';

export interface SilenceState {
  readonly silent: Latch;
}

const speaking: SilenceState = { silent: openLatch };

export interface SilenceInput {
  readonly manner: Manner;
  readonly patience: Patience;
  readonly heard: Instant | undefined;
  readonly presence: 'on' | 'gone' | undefined;
  readonly presenceAt: Instant | undefined;
  /** Since when the broker has been there without a break. */
  readonly connectedSince: Instant;
  /** What it said last, for the record. */
  readonly last: {
    readonly what: 'last-power' | 'last-temperature';
    readonly value: number | undefined;
    readonly unit: Evidence['unit'];
    readonly at: Instant | undefined;
  };
  /** Another watch is blind without it. */
  readonly needed: boolean;
}

/** Long enough for a plug to come back by itself after losing its radio. */
const GONE_HOLD = MINUTE;

function judge(input: SilenceInput, now: Instant): SilenceReason {
  const { heard, patience, manner, presence } = input;
  if (presence === 'gone') return 'gone';
  const listening = now - input.connectedSince;
  if (heard === undefined) {
    const grace =
      patience.from === 'told' ? patience.allowed : Math.max(patience.allowed, FIRST_WORD[manner]);
    const first = manner === 'on-change' && patience.from !== 'told' ? FIRST_WORD[manner] : grace;
    if (listening <= first) return 'not-heard-yet';
    return presence === 'on' && manner === 'on-change' ? 'on-the-air' : 'never-heard';
  }
  if (Math.min(now - heard, listening) <= patience.allowed) return 'speaks';
  if (manner !== 'on-change' || patience.from === 'told') return 'silent';
  return presence === 'on' ? 'on-the-air' : 'silent-longer-than-ever';
}

/** This part of the silence that it may keep, or a little more than its usual one. */
const CALM = 0.7;
const USUAL = 1.25;
/** For so many times as long as it may be silent, but for no more than an hour on that account. */
const SETTLE = 3;

/** Whether a source speaks as often as it should: one at the edge of its patience is not back yet. */
export function speaksOften(
  heard: Instant | undefined,
  { allowed, usual }: Patience,
  now: Instant,
): boolean {
  return now - (heard ?? now) <= Math.max(CALM * allowed, Math.min(allowed, USUAL * (usual ?? 0)));
}

/** A source without a word for too long. It has waited already, so it is told with little hold. */
export function lookAtSilence(
  before: SilenceState | undefined,
  input: SilenceInput,
  now: Instant,
): { state: SilenceState; finding: Finding } {
  const state = before ?? speaking;
  const reason = judge(input, now);
  const over = reason !== 'speaks' && reason !== 'on-the-air' && reason !== 'not-heard-yet';
  const { allowed } = input.patience;
  const settle = reason === 'speaks' ? Math.max(allowed, Math.min(SETTLE * allowed, HOUR)) : 0;
  const hold = reason === 'gone' ? GONE_HOLD : (0 as Millis);
  const calm = !over && (reason !== 'speaks' || speaksOften(input.heard, input.patience, now));
  const silent = latch(state.silent, { over, calm, hold, settle }, now);
  const next = silent === state.silent ? state : { silent };
  const { heard, patience } = input;
  const proof: Evidence[] = [];
  note(proof, 'silent-for', heard === undefined ? undefined : now - heard, 'ms', heard);
  note(proof, 'usual-interval', patience.usual, 'ms');
  note(proof, 'allowed-silence', patience.allowed, 'ms');
  note(proof, input.last.what, input.last.value, input.last.unit, input.last.at);
  if (reason === 'gone' && input.presenceAt !== undefined) {
    note(proof, 'gone-for', now - input.presenceAt, 'ms', input.presenceAt);
  }
  const finding: Finding = {
    verdict:
      silent.since !== undefined ? 'raised' : reason === 'not-heard-yet' ? 'unknown' : 'quiet',
    severity: input.needed ? 'warning' : 'notice',
    reason: silent.since !== undefined && !over ? 'speaks-again' : reason,
    confidence:
      reason === 'gone' || patience.from === 'told'
        ? 'certain'
        : reason === 'silent-longer-than-ever' || patience.from === 'not-yet'
          ? 'possible'
          : 'likely',
    evidence: proof,
    hold,
  };
  return { state: next, finding };
}
