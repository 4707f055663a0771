import { type Calendar, DAY, HOUR, type Instant, later } from '../units/index.ts';
import type { Chance } from './chance.ts';
import type { TankSpec } from './spec.ts';

/** Tanks smaller than this are topped up, and cold ones left alone. */
const SMALLEST = 30;
const COLDEST = 5;
/** A keeper works on tanks between these hours, h after local midnight. */
const CIVIL = { from: 10, to: 20 } as const;
/** Days from one water change to the next. */
const EVERY = { least: 6, most: 8 } as const;
const PART_CHANGED = 0.25;

/** When a keeper changes water: about once a week, at a civil hour. */
export interface Tending {
  /**
   * By how much the tank is cooled when its water change begins at `at`, K; undefined when none is
   * due. Each is told once.
   */
  begins(tank: TankSpec, at: Instant): number | undefined;
}

export function createTending(
  tanks: readonly TankSpec[],
  calendar: Calendar,
  start: Instant,
  chance: Chance,
): Tending {
  const next = new Map<string, Instant>();
  for (const { id, waterLiters, set } of tanks) {
    if (waterLiters < SMALLEST || set === undefined || set < COLDEST) continue;
    next.set(id, civilHour(later(start, Math.round((0.5 + chance.next() * EVERY.most) * DAY))));
  }

  function civilHour(at: Instant): Instant {
    const hour = CIVIL.from + chance.next() * (CIVIL.to - CIVIL.from);
    return later(calendar.day(at).from, Math.round(hour * HOUR));
  }

  return {
    begins({ id }, at) {
      const due = next.get(id);
      if (due === undefined || at < due) return undefined;
      const days = EVERY.least + Math.floor(chance.next() * (EVERY.most - EVERY.least + 1));
      next.set(id, civilHour(later(at, days * DAY)));
      // The new water is a little cooler than the tank.
      return PART_CHANGED * (1.2 + chance.next() * 1.6);
    },
  };
}
