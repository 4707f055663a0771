import type { Instant } from '../units/index.ts';
import type { Finding } from './finding.ts';
import {
  lookAtSilence,
  type SilenceInput,
  type SilenceReason,
  type SilenceState,
} from './silence.ts';

export type PlugSilentReason = SilenceReason;

/**
 * A plug that no longer reports. What hangs on it may well run on; nobody sees it. One that speaks
 * only on change has no interval to go by: the longest silence it usually keeps is learned, and the
 * finding is only ever possible. Where such a plug has an availability topic, that decides.
 */
export function lookAtPlugSilent(
  before: SilenceState | undefined,
  input: SilenceInput,
  now: Instant,
): { state: SilenceState; finding: Finding } {
  return lookAtSilence(before, input, now);
}
