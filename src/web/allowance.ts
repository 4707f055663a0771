/** Lets so many through at once, and one more after each `every` ms. */
export function createAllowance(
  atOnce: number,
  every: number,
  /** Monotonic, ms. */
  time: () => number,
): { take(): boolean } {
  let left = atOnce;
  let last = time();
  return {
    take() {
      const now = time();
      left = Math.min(atOnce, left + (now - last) / every);
      last = now;
      if (left < 1) return false;
      left -= 1;
      return true;
    },
  };
}
