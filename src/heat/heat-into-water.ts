/** Where a device stands in relation to the water. */
export type Placement = 'in-water' | 'in-line' | 'over-water' | 'beside';

/** Where devices of a kind usually are. Common practice, no source. */
const USUAL_PLACE: Readonly<Record<string, Placement>> = {
  heater: 'in-water',
  pump: 'in-water',
  filter: 'in-line',
  uv: 'in-line',
  light: 'over-water',
  'air-pump': 'beside',
};

/** From memory, no source; the rest warms the room. */
const PART: Readonly<Record<Placement, number>> = {
  'in-water': 1,
  'in-line': 0.7,
  'over-water': 0.4,
  beside: 0.1,
};
/** Half of a mat's heat goes into the stand and the room. Estimate. */
const HEAT_MAT = 0.5;

/**
 * g: the part of a device's power that ends as heat in the water, 0–1. A chiller, a fan and what
 * stands in the room put none there; what a chiller takes out is not known from its power.
 * @param kind as in the configuration: heater, light, filter, pump …
 * @param placement where it is, if not where its kind usually is
 */
export function heatIntoWater(kind: string, placement?: Placement): number {
  if (placement !== undefined) return PART[placement];
  if (kind === 'heat-mat') return HEAT_MAT;
  const usual = USUAL_PLACE[kind];
  return usual === undefined ? 0 : PART[usual];
}
