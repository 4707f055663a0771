import { HOUR, MINUTE, type Millis } from '../units/index.ts';
import type { AlertWatch } from './alert.ts';

/** The patience of the lifecycle. Defaults are judgment, no published source. */
export interface Policy {
  /** How long a finding must stay quiet before its alert closes. */
  readonly keepOpen: Millis;
  readonly keepOpenOf: Readonly<Partial<Record<AlertWatch, Millis>>>;
  /** A trouble that comes back this soon after closing must stay quiet twice as long next time. */
  readonly relapseWithin: Millis;
  /** Doubling of the keep-open time stops here. */
  readonly longestKeepOpen: Millis;
  /** A pending alert that was not seen raised for this long is dropped. */
  readonly pendingForgotten: Millis;
  /** How often the row of an alert that stays raised takes over fresh evidence. */
  readonly refreshEvery: Millis;
}

export const DEFAULT_POLICY: Policy = {
  keepOpen: (10 * MINUTE) as Millis,
  keepOpenOf: {},
  relapseWithin: (2 * HOUR) as Millis,
  longestKeepOpen: (4 * HOUR) as Millis,
  pendingForgotten: HOUR,
  refreshEvery: (5 * MINUTE) as Millis,
};

/** Keep-open time of a watch after so many relapses in a row. */
export function keepOpenFor(policy: Policy, watch: AlertWatch, relapses: number): Millis {
  const usual = policy.keepOpenOf[watch] ?? policy.keepOpen;
  const doubled = usual * 2 ** Math.min(relapses, 16);
  return Math.max(usual, Math.min(doubled, policy.longestKeepOpen)) as Millis;
}
