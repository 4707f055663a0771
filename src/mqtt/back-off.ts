import { type Millis, SECOND } from '../units/index.ts';

export interface BackOff {
  /** The longest wait before the first retry. */
  readonly first: Millis;
  /** The longest wait before any retry. */
  readonly longest: Millis;
}

export const PATIENT: BackOff = { first: SECOND, longest: (30 * SECOND) as Millis };

/**
 * How long to wait after so many failures in a row (1 or more): a bound that doubles each time, of
 * which the upper half is drawn by chance, so that a site's clients do not all come back at once.
 * `chance` is in [0, 1).
 */
export function waitBefore(backOff: BackOff, failures: number, chance: number): Millis {
  const bound = Math.min(backOff.longest, backOff.first * 2 ** Math.min(failures - 1, 30));
  return Math.round(bound * (0.5 + chance / 2)) as Millis;
}
