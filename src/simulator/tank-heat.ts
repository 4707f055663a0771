import type { TankSpec } from './spec.ts';

/** Joules to warm a liter of water by a kelvin. */
const WATER = 4186;
/** Heat capacity of glass, sand and rock beside the water, J/K. */
const FURNITURE = 25_000;
/** Still air and radiation over open water, W/(m²·K). Estimate. */
const OPEN_WATER_U = 8;

/** A tank as one lump of heat: C dT/dt = P − UA·(T − T_room); P is less what evaporates. */
export interface TankHeat {
  /** UA of walls and open water, W/K, without evaporation. */
  readonly conductance: number;
  /** C, J/K. */
  readonly capacity: number;
}

export const tankHeat = (tank: TankSpec): TankHeat => ({
  conductance: tank.surface * tank.wallU + tank.openWater * OPEN_WATER_U,
  capacity: tank.waterLiters * WATER + FURNITURE,
});

/**
 * The temperature after `seconds` of `watts` in a room that stays at `room`: the closed form, so
 * that a step may be as long as the room allows.
 */
export function warmed(
  { conductance, capacity }: TankHeat,
  temperature: number,
  watts: number,
  room: number,
  seconds: number,
): number {
  const end = room + watts / conductance;
  return end + (temperature - end) * Math.exp((-conductance * seconds) / capacity);
}
