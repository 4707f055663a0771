import { type Calendar, type Instant, MINUTE, SLOT, slotOf } from '../units/index.ts';
import type { CounterState, Gap, Part, Run } from './state.ts';

/** How far a plug's clock may be from ours: it restarts so much before our midnight, or after. */
const CLOCKS_APART = 10 * MINUTE;

/** The midnight from which a counter counts that restarts then. */
const countsSince = (calendar: Calendar, counter: CounterState): Instant =>
  counter.since ?? calendar.day(counter.at).from;

/** A midnight at which the plug may have begun to count anew. */
export interface Restart {
  /** By our clock: the count is what was drawn since. */
  readonly midnight: Instant;
  /** The plug's clock may be ahead; but what was read last was read before. */
  readonly earliest: Instant;
}

/**
 * The plug's last midnights, newest first, if it has certainly begun to count anew between the last
 * reading and `at`. Within a few minutes around a single midnight that is not certain by time alone,
 * nor where the last reading is of after midnight: there a restarted counter shows by its drop.
 */
export function restartsBetween(
  calendar: Calendar,
  counter: CounterState,
  at: Instant,
): readonly Restart[] {
  const certain = calendar.day((at - CLOCKS_APART) as Instant).from;
  if (certain <= counter.at || certain <= countsSince(calendar, counter)) return [];
  const newest = calendar.day(at).from;
  const restarts = newest === certain ? [certain] : [newest, certain];
  return restarts.map((midnight) => ({
    midnight,
    earliest: Math.max(counter.at, midnight - CLOCKS_APART) as Instant,
  }));
}

/** The midnight at which a counter that fell between two readings has probably restarted. */
export function restartNear(
  calendar: Calendar,
  counter: CounterState,
  fallen: Instant,
): Instant | undefined {
  const midnight = calendar.day((fallen + CLOCKS_APART) as Instant).from;
  const isNew = midnight > countsSince(calendar, counter);
  return isNew && midnight >= counter.at - CLOCKS_APART ? midnight : undefined;
}

/**
 * Cuts what is pending at a midnight: what lies before it is counted by nobody, as the count that
 * knew of it is gone.
 */
export function cutAt(part: Part, midnight: Instant): { before: Part; after: Part } {
  const cut = slotOf(midnight);
  const before: { runs: Run[]; gaps: Gap[] } = { runs: [], gaps: [] };
  const after: { runs: Run[]; gaps: Gap[] } = { runs: [], gaps: [] };
  for (const [slot, slots, energy, covered, drawing] of part.runs) {
    const early = Math.min(Math.max((cut - slot) / SLOT, 0), slots);
    const middle = (slot + early * SLOT) as Instant;
    if (early > 0) before.runs.push([slot, early, energy, covered, drawing]);
    if (early < slots) after.runs.push([middle, slots - early, energy, covered, drawing]);
  }
  for (const gap of part.gaps) {
    const [from, to, bridgedTo, watts, duty] = gap;
    // A bridge is cut at midnight when it is built; one of an older state stays in one piece.
    if (from >= midnight || bridgedTo > midnight || gap[5]) after.gaps.push(gap);
    else if (to <= midnight) before.gaps.push(gap);
    else {
      before.gaps.push([from, midnight, bridgedTo, watts, duty]);
      after.gaps.push([midnight, to, midnight, 0, 0]);
    }
  }
  return { before, after };
}
