/**
 * A tank as one lump of heat: C dT/dt = P − UA·(T − T_room) − offset, with P the heat of all devices
 * that ends in the water.
 */
export interface HeatModel {
  /** UA: what each kelvin above the room costs, W/K; evaporation's part in it is included. */
  readonly lossWPerK: number;
  /** What is lost at no difference at all: water evaporates even then. May be negative, W. */
  readonly offsetW: number;
  /** C: heat stored per kelvin, J/K. */
  readonly storeJPerK: number;
}

type Loss = Pick<HeatModel, 'lossWPerK' | 'offsetW'>;

/** Heat that leaves the water, W; negative where the room warms it. */
export const heatLoss = (model: Loss, tankC: number, roomC: number): number =>
  model.lossWPerK * (tankC - roomC) + model.offsetW;

/** Where the water comes to rest with `heatW` in a room that stays at `roomC`, °C. */
export const equilibrium = (model: Loss, roomC: number, heatW: number): number =>
  roomC + (heatW - model.offsetW) / model.lossWPerK;

/** How fast the water warms, K/h. */
export const warmingRate = (
  model: HeatModel,
  at: { readonly tankC: number; readonly roomC: number; readonly heatW: number },
): number => ((at.heatW - heatLoss(model, at.tankC, at.roomC)) * 3600) / model.storeJPerK;

/** τ = C / UA, hours. */
export const timeConstantH = (model: HeatModel): number =>
  model.storeJPerK / model.lossWPerK / 3600;

/**
 * The water `hours` later, °C: the closed form for heat and room that stay the same meanwhile, so
 * that a step may be as long as they do.
 */
export function afterStep(
  model: HeatModel,
  from: { readonly tankC: number; readonly roomC: number; readonly heatW: number },
  hours: number,
): number {
  const rest = equilibrium(model, from.roomC, from.heatW);
  return rest + (from.tankC - rest) * Math.exp(-hours / timeConstantH(model));
}
