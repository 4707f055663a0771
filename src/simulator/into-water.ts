import type { DeviceSpec } from './spec.ts';

/** How many watts of heat a chiller moves for each watt it draws. */
const CHILLER_YIELD = 2;
/** From memory. */
const INTO_WATER: Readonly<Record<string, number>> = {
  heater: 1,
  'heat-mat': 0.8,
  pump: 0.8,
  filter: 0.7,
  light: 0.3,
  uv: 0.8,
  'air-pump': 0.05,
  chiller: -CHILLER_YIELD,
};

/** The part of a device's power that ends in the water of its tank; the rest warms the room. */
export const intoWater = ({ tank, kind, intoWater: told }: DeviceSpec): number =>
  tank === undefined ? 0 : (told ?? INTO_WATER[kind] ?? 0);
