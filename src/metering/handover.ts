import { CodedError } from '../units/index.ts';
import { pendingEnergy } from './pending.ts';
import { beginMeter, type MeterState } from './state.ts';

/**
 * A stored state, taken up again; one of version 1 as if its readings had arrived at their own time.
 *
 * @throws CodedError AMP_METERING_STATE when another version of the program wrote it
 */
export function readMeter(saved: unknown): MeterState {
  const version = (saved as { version?: unknown } | null)?.version;
  if (version !== 1 && version !== 2) {
    throw new CodedError(
      'AMP_METERING_STATE',
      `the stored state of a meter has version ${String(version)}, this program reads versions 1 and 2`,
      { remedy: 'run the version of ampulla that wrote it, or a newer one' },
    );
  }
  return { ...(saved as MeterState), version: 2 };
}

/**
 * The state with which a plug goes on when it feeds another device. What was booked to the first
 * one stays with it, and the counter's next step gives the second only what is left of it.
 */
export const rebase = (state: MeterState): MeterState => ({
  ...state,
  mean: beginMeter().mean,
  open: null,
  runs: [],
  gaps: [],
  kept: state.kept + pendingEnergy(state),
  suspect: state.suspect === null ? null : { ...state.suspect, runs: 0, gaps: 0 },
});
