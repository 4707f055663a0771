import type { Instant } from '../units/index.ts';
import type { Finding } from './finding.ts';
import {
  lookAtSilence,
  type SilenceInput,
  type SilenceReason,
  type SilenceState,
} from './silence.ts';

export type ProbeSilentReason = SilenceReason;

/** A probe that no longer reports: a flat battery, a lost radio, a cut cable. */
export function lookAtProbeSilent(
  before: SilenceState | undefined,
  input: SilenceInput,
  now: Instant,
): { state: SilenceState; finding: Finding } {
  return lookAtSilence(before, input, now);
}
