import { type Calendar, DAY, HOUR, type Instant, later } from '../units/index.ts';
import type { Chance } from './chance.ts';

/** Something that is done again and again, at a civil hour. */
export interface Routine {
  /** Whether it is due at `at`; each time is told once. */
  due(at: Instant): boolean;
}

/** `every`: whole days from one time to the next; `hours`: when in the day, h after local midnight. */
export function createRoutine(options: {
  start: Instant;
  calendar: Calendar;
  chance: Chance;
  every: { readonly least: number; readonly most: number };
  hours: { readonly from: number; readonly to: number };
}): Routine {
  const { start, calendar, chance, every, hours } = options;
  let next = civilHour(later(start, Math.round((0.5 + chance.next() * every.most) * DAY)));

  function civilHour(at: Instant): Instant {
    const hour = hours.from + chance.next() * (hours.to - hours.from);
    return later(calendar.day(at).from, Math.round(hour * HOUR));
  }

  return {
    due(at) {
      if (at < next) return false;
      const days = every.least + Math.floor(chance.next() * (every.most - every.least + 1));
      next = civilHour(later(at, days * DAY));
      return true;
    },
  };
}
