/** kg/(s·m²·Pa) at activity 1. */
const STILL_WATER = 4.00494e-8;

/** ASHRAE's activity factor for a pool nobody swims in; a tank with a filter comes nearest. */
export const QUIET_SURFACE = 0.5;

/**
 * Water that leaves an open surface, kg/s; never negative (no condensation).
 * ASHRAE's pool equation in the SI form of the EnergyPlus engineering reference (indoor pools).
 * @param areaM2 water surface, m²
 * @param waterPa saturation pressure at the water's temperature, Pa
 * @param airPa partial pressure of vapor in the room, Pa
 * @param activity 0.5 for a quiet surface to 1 for a moved one
 * @param open fraction of the surface that is uncovered, 0–1
 */
export function evaporation(
  areaM2: number,
  waterPa: number,
  airPa: number,
  activity = QUIET_SURFACE,
  open = 1,
): number {
  return Math.max(0, STILL_WATER * areaM2 * activity * (waterPa - airPa) * open);
}
