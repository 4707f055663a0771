import { vi } from 'vitest';

const { AMPULLA_LONG } = process.env;
const long = AMPULLA_LONG === '1';

if (long) vi.setConfig({ testTimeout: 900_000 });

/** How often a property is tried: AMPULLA_LONG=1 takes ten times as many. */
export const runs = (usual = 1_000): { numRuns: number } => ({
  numRuns: long ? usual * 10 : usual,
});
