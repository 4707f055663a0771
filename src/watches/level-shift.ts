import { DAY, type Instant } from '../units/index.ts';
import { type Latch, openLatch } from './latch.ts';
import type { Spread } from './usual-power.ts';

/** A week after a load has changed, what it draws now is its usual power. */
export const ACCEPTED_AFTER = 7 * DAY;

/** Between these powers it does as it always did, W. */
export interface Band {
  readonly low: number;
  readonly high: number;
}

/**
 * What it draws in the main, and what it draws ever. A load that holds its power has a band without
 * width; one that follows a program has all that the program does within it.
 * @param steady how far from its median it may wander and yet count as holding its power, a part
 */
export function bandsOf(usual: Spread, steady: number): { main: Band; ever: Band } {
  const { median, low, high, lowest, highest } = usual;
  if (high - median <= steady * median && median - low <= steady * median) {
    return { main: { low: median, high: median }, ever: { low: median, high: median } };
  }
  return { main: { low, high }, ever: { low: lowest, high: highest } };
}

/** How far a power lies outside a band, as a part of the edge that it passed; negative below. */
export function beyond(power: number, { low, high }: Band): number {
  if (power > high) return (power - high) / high;
  return power < low ? (power - low) / low : 0;
}

/** A change that has stood for a week is no news any more: its latch opens. */
export const accepted = (before: Latch, now: Instant): Latch =>
  before.since !== undefined && now - before.since >= ACCEPTED_AFTER ? openLatch : before;
