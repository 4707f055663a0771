import { type Instant, MINUTE, type Millis } from '../units/index.ts';
import type { Finding } from './finding.ts';
import {
  type KeptRangeState,
  lookAtEdge,
  type NoProbeReason,
  type TankInput,
} from './kept-range.ts';

export type TankTooWarmReason =
  | 'above-kept-max'
  | 'far-above-kept-max'
  | 'not-too-warm'
  | NoProbeReason;

/** A tank above its kept range, whatever heats it. */
export function lookAtTankTooWarm(
  before: KeptRangeState | undefined,
  input: TankInput,
  now: Instant,
): { state: KeptRangeState; finding: Finding } {
  const { config, tank } = input;
  return lookAtEdge<TankTooWarmReason>(
    before,
    input,
    {
      is: 'too-warm',
      beyond: (celsius) => celsius - tank.keep.max,
      hold: (config.out_of_range.hold_min * MINUTE) as Millis,
      limit: { what: 'kept-max', value: tank.keep.max },
      reasons: { out: 'above-kept-max', far: 'far-above-kept-max', inside: 'not-too-warm' },
    },
    now,
  );
}
