import type { Calendar, Instant } from '../units/index.ts';
import type { Chance } from './chance.ts';
import { createRoutine, type Routine } from './routine.ts';
import type { TankSpec } from './spec.ts';

/** Tanks smaller than this are topped up, and cold ones left alone. */
const SMALLEST = 30;
const COLDEST = 5;
const WATER_CHANGE = { every: { least: 6, most: 8 }, hours: { from: 10, to: 20 } } as const;
const PART_CHANGED = 0.25;

/** When a keeper changes the water of one tank: about once a week, at a civil hour. */
export interface Tending {
  /**
   * By how much the tank is cooled when its water change begins at `at`, K; undefined when none is
   * due. Each is told once.
   */
  begins(at: Instant): number | undefined;
}

/** Undefined for a tank whose water is not changed. */
export function createTending(
  { waterLiters, set }: TankSpec,
  options: { calendar: Calendar; start: Instant; chance: Chance },
): Tending | undefined {
  if (waterLiters < SMALLEST || set === undefined || set < COLDEST) return undefined;
  const { chance } = options;
  const routine: Routine = createRoutine({ ...options, ...WATER_CHANGE });
  return {
    // The new water is a little cooler than the tank.
    begins: (at) => (routine.due(at) ? PART_CHANGED * (1.2 + chance.next() * 1.6) : undefined),
  };
}
