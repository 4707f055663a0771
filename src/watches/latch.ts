import type { Instant } from '../units/index.ts';

/**
 * Keeps a watch from wavering at its threshold. Before it has held, one look below the threshold
 * ends it; once it has held, only a calm beyond the hysteresis, long enough, ends it. Plain JSON.
 */
export interface Latch {
  /** Over the threshold since then, or undefined when it is not. */
  readonly since: Instant | undefined;
  readonly calmSince: Instant | undefined;
  /** It stood for its whole hold. */
  readonly held: boolean;
}

export const openLatch: Latch = { since: undefined, calmSince: undefined, held: false };

export interface LatchRule {
  /** Beyond the threshold now. */
  readonly over: boolean;
  /** Back beyond the hysteresis now. */
  readonly calm: boolean;
  /** How long to stand before it counts, ms. */
  readonly hold: number;
  /** How long to be calm before it ends, ms. */
  readonly settle: number;
}

/** The same object comes back when nothing has changed. */
export function latch(before: Latch, rule: LatchRule, now: Instant): Latch {
  const { over, calm, hold, settle } = rule;
  if (before.since === undefined) {
    return over ? { since: now, calmSince: undefined, held: hold <= 0 } : before;
  }
  const held = before.held || (over && now - before.since >= hold);
  if (!held) return over ? before : openLatch;
  const calmSince = calm ? (before.calmSince ?? now) : undefined;
  if (calmSince !== undefined && now - calmSince >= settle) return openLatch;
  return held === before.held && calmSince === before.calmSince
    ? before
    : { since: before.since, calmSince, held };
}
