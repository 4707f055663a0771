import { HOUR, MINUTE, type Millis, SECOND } from '../units/index.ts';
import type { MeterSpec } from './meter.ts';

const SHORTEST_GAP = 5 * MINUTE;
const LONGEST_FIRST = 15 * MINUTE;
/** A plug that reports more seldom has to be described: nobody should hold a power for days. */
const LONGEST_LEARNED = HOUR;

/** The longest silence over which a power sample is still believed. */
export function maxGap(spec: MeterSpec, learned: Millis | null): number {
  if (spec.maxGap !== undefined) return spec.maxGap;
  const usual = spec.usualInterval ?? learned ?? 0;
  return Math.max(SHORTEST_GAP, 3 * usual);
}

/**
 * Follows how often a plug reports, leaning to the longer of its intervals: up by a quarter of the
 * difference, down by a twentieth. A single long silence moves it little; a few in a row are the
 * plug's new habit. Readings of the same second belong together and say nothing.
 */
export function learnInterval(usual: Millis | null, found: number): Millis | null {
  if (found < SECOND) return usual;
  if (usual === null) return Math.min(found, LONGEST_FIRST) as Millis;
  const believed = Math.min(found, 8 * usual, LONGEST_LEARNED);
  const weight = believed > usual ? 1 / 4 : 1 / 20;
  return Math.round(usual + weight * (believed - usual)) as Millis;
}
