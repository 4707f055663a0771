const { AMPULLA_LONG } = process.env;

/** How often a property is tried: AMPULLA_LONG=1 takes ten times as many. */
export const runs = (usual = 1_000): { numRuns: number } => ({
  numRuns: AMPULLA_LONG === '1' ? usual * 10 : usual,
});
