/** From memory, no source; the rest warms the room. */
const PART: Readonly<Record<string, number>> = {
  heater: 1,
  /** Under water; one in line with the hoses gives away some of it. */
  pump: 1,
  /** In line, as a canister is. */
  filter: 0.7,
  uv: 0.7,
  /** Over open water. */
  light: 0.4,
  'air-pump': 0.1,
  /** Half of its heat goes into the stand and the room. Estimate. */
  'heat-mat': 0.5,
};

/**
 * g: the part of a device's power that ends as heat in the water, 0–1: as configured, else as usual
 * for its kind. A chiller, a fan and what stands in the room put none there; what a chiller takes out
 * is not known from its power.
 */
export const heatIntoWater = ({
  kind,
  heat_into_water: told,
}: {
  readonly kind: string;
  readonly heat_into_water?: number | undefined;
}): number => told ?? (Object.hasOwn(PART, kind) ? (PART[kind] ?? 0) : 0);
