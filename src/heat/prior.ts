import { saturationPressure, vaporizationHeat, vaporPressure } from './air.ts';
import { evaporation } from './evaporation.ts';
import { boxOf, type TankBox, type TankShape } from './geometry.ts';
import type { HeatModel } from './model.ts';

/** How fast a tank loses heat and how much it holds, from its geometry alone. */
export interface HeatPrior {
  /** Never fitted to what the tank really did: shown as reckoned. */
  readonly known: 'reckoned';
  /** UA: heat lost per kelvin above the room, W/K. */
  readonly lossWPerK: number;
  /** The part of `lossWPerK` that evaporation takes, W/K. */
  readonly evaporationWPerK: number;
  /** C: heat stored per kelvin, J/K. */
  readonly storeJPerK: number;
  /** τ = C / UA, hours. */
  readonly timeConstantH: number;
}

/** The state at which the loss is taken as a straight line. */
export interface HeatSetting {
  /** The kept temperature, °C. */
  readonly tankC: number;
  /** Usual air around it, °C. */
  readonly roomC: number;
  /** Relative humidity of that air, 0–1. */
  readonly humidity: number;
}

/** The air around a tank of which nothing else is known. Assumption, no source. */
const USUAL_ROOM = { roomC: 20, humidity: 0.5 };

/** A tank at its set point, or in the middle of its kept range, in the usual room. */
export const usualSetting = ({
  set_c: set,
  keep_c: keep,
}: {
  readonly set_c?: number | undefined;
  readonly keep_c: { readonly min: number; readonly max: number };
}): HeatSetting => ({ tankC: set ?? (keep.min + keep.max) / 2, ...USUAL_ROOM });

// Surface films, W/(m²·K). Inside air 7.7 is EN 673's (from memory; with it 6 mm of glass comes to
// 5.7 air to air, the published figure); the water film is an estimate and hardly matters.
const AIR_FILM = 7.7;
const WATER_FILM = 500;
// Conductivities, W/(m·K): common values, from memory; acrylic's reproduces a published table.
const GLASS = 1.0;
const ACRYLIC = 0.19;
const FOAM = 0.035;
const FOAM_M = 0.02;
/** Through a cabinet and a mat below. Estimate. */
const BOTTOM_U = 2.0;
/** Water, air gap, cover, room. Estimate; includes what condenses on the cover. */
const LID_U = 5.0;
/** Still air and radiation over open water, without evaporation. Estimate. */
const OPEN_U = 8.0;
/** What a cover leaves open: cut-outs for cables and hoses. Estimate. */
const LID_OPEN = 0.1;
/** Sand, rock and glass store a little beside the water. Estimate. */
const FURNISHED = 1.05;
const WATER_J_PER_L_K = 4186;
/** Evaporation goes on at no difference at all; the straight line is drawn from here, K. */
const LEAST_DIFFERENCE = 4;

function wallU(shape: TankShape, box: TankBox): number {
  // Taller tanks have thicker panes. Common practice, no source.
  const paneM = box.height > 0.55 ? 0.01 : box.height > 0.4 ? 0.008 : 0.006;
  const inside = shape.housing === 'terrarium' || shape.housing === 'vivarium' ? 7.7 : WATER_FILM;
  const pane = paneM / (shape.walls === 'acrylic' ? ACRYLIC : GLASS);
  const foam = shape.walls === 'insulated' ? FOAM_M / FOAM : 0;
  return 1 / (1 / AIR_FILM + pane + foam + 1 / inside);
}

/** What evaporation takes from a tank at `tankC`, W, in a room at `roomC`. */
function evaporationW(shape: TankShape, box: TankBox, setting: HeatSetting, roomC: number): number {
  const water = evaporation(
    box.top,
    saturationPressure(setting.tankC),
    vaporPressure(roomC, setting.humidity),
    undefined,
    shape.lid ? LID_OPEN : 1,
  );
  return water * vaporizationHeat(setting.tankC);
}

/** Through walls, bottom and surface, without evaporation, W/K. */
function dryWPerK(shape: TankShape, box: TankBox): number {
  const bottomU = shape.walls === 'insulated' ? wallU(shape, box) : BOTTOM_U;
  return (
    box.sides * wallU(shape, box) + box.bottom * bottomU + box.top * (shape.lid ? LID_U : OPEN_U)
  );
}

const drawnFrom = (setting: HeatSetting): number =>
  Math.min(setting.roomC, setting.tankC - LEAST_DIFFERENCE);

const storeJPerK = (box: TankBox): number => box.waterL * WATER_J_PER_L_K * FURNISHED;

/**
 * Heat loss and thermal mass reckoned from areas × U, with evaporation by ASHRAE's pool equation,
 * taken as a straight line at `setting`. Good to perhaps ±30 % (an estimate), until a fit replaces
 * it. Undefined where the tank's size is not told.
 */
export function priorFromGeometry(shape: TankShape, setting: HeatSetting): HeatPrior | undefined {
  const box = boxOf(shape);
  if (box === undefined) return undefined;
  const roomC = drawnFrom(setting);
  const evaporationWPerK = evaporationW(shape, box, setting, roomC) / (setting.tankC - roomC);
  const lossWPerK = dryWPerK(shape, box) + evaporationWPerK;
  const store = storeJPerK(box);
  return {
    known: 'reckoned',
    lossWPerK,
    evaporationWPerK,
    storeJPerK: store,
    timeConstantH: store / lossWPerK / 3600,
  };
}

/**
 * The same heat, but as a line that does not pass through zero: water goes on evaporating into a
 * room as warm as itself, so that a colder room costs less than `priorFromGeometry` has it. This is
 * what a fit begins with.
 */
export function modelFromGeometry(shape: TankShape, setting: HeatSetting): HeatModel | undefined {
  const box = boxOf(shape);
  if (box === undefined) return undefined;
  const roomC = drawnFrom(setting);
  const offsetW = evaporationW(shape, box, setting, setting.tankC);
  const more = evaporationW(shape, box, setting, roomC) - offsetW;
  return {
    lossWPerK: dryWPerK(shape, box) + more / (setting.tankC - roomC),
    offsetW,
    storeJPerK: storeJPerK(box),
  };
}
