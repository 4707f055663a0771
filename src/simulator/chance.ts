/** Random numbers that are the same for the same seed. */
export interface Chance {
  /** Evenly from [0, 1). */
  next(): number;
  /** Normal with mean 0 and standard deviation 1. */
  normal(): number;
  pick<T>(items: readonly T[]): T | undefined;
  /** A chance of its own, so that who draws more often does not disturb the others. */
  fork(): Chance;
}

/** The 'mulberry32' generator (Tommy Ettinger, public domain): small and good enough for a demo. */
export function createChance(seed: number): Chance {
  let state = seed >>> 0;
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
  return {
    next,
    normal: () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next()),
    pick: (items) => items[Math.floor(next() * items.length)],
    fork: () => createChance(next() * 4_294_967_296),
  };
}
