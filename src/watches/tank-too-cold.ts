import { HOUR, type Instant, MINUTE, type Millis } from '../units/index.ts';
import type { Finding } from './finding.ts';
import {
  type KeptRangeState,
  lookAtEdge,
  type NoProbeReason,
  type TankInput,
} from './kept-range.ts';

export type TankTooColdReason =
  | 'below-kept-min'
  | 'far-below-kept-min'
  | 'not-too-cold'
  | NoProbeReason;

/** Cooler water has been poured in: unless it is far too cold, it gets this long. Estimates. */
const AFTER_CHANGE = 2 * HOUR;
const AFTER_CHANGE_HOLD = HOUR;

/** A tank below its kept range, whatever cools it. */
export function lookAtTankTooCold(
  before: KeptRangeState | undefined,
  input: TankInput,
  now: Instant,
): { state: KeptRangeState; finding: Finding } {
  const { config, tank } = input;
  const usual = (config.out_of_range.hold_min * MINUTE) as Millis;
  const changed = tank.jumped !== undefined && now - tank.jumped < AFTER_CHANGE;
  return lookAtEdge<TankTooColdReason>(
    before,
    input,
    {
      is: 'too-cold',
      beyond: (celsius) => tank.keep.min - celsius,
      hold: changed ? (Math.max(usual, AFTER_CHANGE_HOLD) as Millis) : usual,
      limit: { what: 'kept-min', value: tank.keep.min },
      reasons: { out: 'below-kept-min', far: 'far-below-kept-min', inside: 'not-too-cold' },
    },
    now,
  );
}
