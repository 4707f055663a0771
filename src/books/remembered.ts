import type { Instant } from '../units/index.ts';

/** Something of each of many days, those asked for last; how much is bounded by its weight. */
export interface Remembered<T> {
  get(day: Instant): T | undefined;
  set(day: Instant, value: T): void;
  forget(day: Instant): void;
  clear(): void;
}

export function remembering<T>(bound: number, weightOf: (value: T) => number): Remembered<T> {
  /** Those asked for last at the end. */
  const days = new Map<Instant, T>();
  let weight = 0;

  function forget(day: Instant): void {
    const known = days.get(day);
    if (known === undefined) return;
    weight -= weightOf(known);
    days.delete(day);
  }

  return {
    get(day) {
      const known = days.get(day);
      if (known === undefined) return undefined;
      days.delete(day);
      days.set(day, known);
      return known;
    },
    set(day, value) {
      forget(day);
      days.set(day, value);
      weight += weightOf(value);
      for (const oldest of days.keys()) {
        if (weight <= bound) break;
        forget(oldest);
      }
    },
    forget,
    clear() {
      days.clear();
      weight = 0;
    },
  };
}
