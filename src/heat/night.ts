import {
  cost,
  HOUR,
  type Instant,
  type MicroPerKwh,
  type MicroUnits,
  type MilliwattHours,
  milliwattHours,
  SLOT,
} from '../units/index.ts';
import type { HeatFit } from './fit.ts';
import { heaterNeed, needVariance, scatterOf } from './forecast.ts';
import type { RoomForecast } from './room-forecast.ts';

/** What a tank's heaters will draw in a span of slots to come. */
export interface NightForecast {
  readonly from: Instant;
  readonly to: Instant;
  readonly energy: NightFigure<MilliwattHours>;
  /** Undefined where a slot has no price. */
  readonly cost: NightFigure<MicroUnits> | undefined;
  /** Means over the span, °C. */
  readonly roomC: number;
  readonly tankC: number;
  /** Slots in which the heaters would have to give more than they can. */
  readonly shortSlots: number;
  /** From a fit, or from geometry alone. */
  readonly known: HeatFit['known'];
}

export interface NightFigure<T extends number> {
  readonly value: T;
  /** Holds what comes 9 times in 10. */
  readonly low: T;
  readonly high: T;
}

export interface NightInput {
  /** Start of the first slot. */
  readonly from: Instant;
  /** One value a slot. */
  readonly room: RoomForecast;
  /** The water that is kept, °C. */
  readonly tankC: number;
  /** Its thermostat's band, K: where in it a night begins and ends is chance. 0 if not known. */
  readonly bandK: number;
  /** Heat of other devices into the water in a slot, W. */
  readonly otherW: (slot: Instant) => number;
  /** All its heaters together, W. */
  readonly heaterW: number;
  /** Price of a slot, or undefined where none is known. */
  readonly price: (slot: Instant) => MicroPerKwh | undefined;
}

/** Of a normal distribution: 9 in 10 lie within. */
const NINE_IN_TEN = 1.645;
const SLOT_H = SLOT / HOUR;

/**
 * Heat, energy and cost of the night to come, or of any other span, with a band from the error of
 * the fit, the room's forecast and the scatter of hours.
 */
export function forecastNight(fit: HeatFit, input: NightInput): NightForecast {
  const { room, tankC, heaterW, bandK } = input;
  const length = room.roomC.length;
  const slotAt = (i: number) => (input.from + i * SLOT) as Instant;
  const hours = length * SLOT_H;
  const roomC = room.roomC.reduce((sum, value) => sum + value, 0) / Math.max(1, length);
  const otherW =
    room.roomC.reduce((sum, _, i) => sum + input.otherW(slotAt(i)), 0) / Math.max(1, length);
  const variance =
    needVariance(fit, tankC - roomC, otherW) +
    (fit.lossWPerK * room.errorK) ** 2 +
    scatterOf(fit, Math.max(hours, SLOT_H), bandK);
  const reach = NINE_IN_TEN * Math.sqrt(variance);
  const at = (shiftW: number) => {
    let energy = 0;
    let money: number | undefined = 0;
    let short = 0;
    room.roomC.forEach((air, i) => {
      const slot = slotAt(i);
      const wanted = heaterNeed(fit, tankC - air, input.otherW(slot)) + shiftW;
      if (wanted > heaterW) short += 1;
      const slotEnergy = milliwattHours(Math.min(heaterW, Math.max(0, wanted)) * SLOT_H * 1000);
      energy += slotEnergy;
      const price = input.price(slot);
      money =
        money === undefined || price === undefined ? undefined : money + cost(slotEnergy, price);
    });
    return { energy: energy as MilliwattHours, money: money as MicroUnits | undefined, short };
  };
  const [low, middle, high] = [at(-reach), at(0), at(reach)];
  return {
    from: input.from,
    to: slotAt(length),
    energy: { value: middle.energy, low: low.energy, high: high.energy },
    cost: bandOf(low.money, middle.money, high.money),
    roomC,
    tankC,
    shortSlots: middle.short,
    known: fit.known,
  };
}

function bandOf(
  low: MicroUnits | undefined,
  value: MicroUnits | undefined,
  high: MicroUnits | undefined,
): NightFigure<MicroUnits> | undefined {
  if (low === undefined || value === undefined || high === undefined) return undefined;
  // A price may be negative.
  return { value, low: Math.min(low, high) as MicroUnits, high: Math.max(low, high) as MicroUnits };
}

/** How a forecast did. */
export interface NightScore {
  /** (forecast − actual) / actual; undefined where nothing was drawn. */
  readonly energyError: number | undefined;
  readonly costError: number | undefined;
  readonly energyWithin: boolean;
  /** Undefined where either cost is unknown. */
  readonly costWithin: boolean | undefined;
}

const errorOf = (forecast: number, actual: number): number | undefined =>
  actual === 0 ? undefined : (forecast - actual) / Math.abs(actual);

const within = (band: NightFigure<number>, value: number): boolean =>
  value >= band.low && value <= band.high;

/** Holds a forecast against what the night really drew and cost. */
export function scoreNight(
  forecast: Pick<NightForecast, 'energy' | 'cost'>,
  actual: { readonly energy: MilliwattHours; readonly cost: MicroUnits | undefined },
): NightScore {
  const priced = forecast.cost !== undefined && actual.cost !== undefined;
  return {
    energyError: errorOf(forecast.energy.value, actual.energy),
    costError: priced ? errorOf(forecast.cost.value, actual.cost) : undefined,
    energyWithin: within(forecast.energy, actual.energy),
    costWithin: priced ? within(forecast.cost, actual.cost) : undefined,
  };
}
