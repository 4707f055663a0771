import {
  forecastNight,
  type HeatFit,
  type NightForecast,
  type RoomForecast,
  usualSetting,
} from '../../heat/index.ts';
import { HOUR, type Instant, median, SLOT } from '../../units/index.ts';
import type { NightCost, Tonight } from '../../watches/index.ts';
import type { House } from '../house.ts';
import type { PriceAt } from '../slot-price.ts';
import { type NightMemory, offBy, type PastNight } from './memory.ts';
import type { Night } from './span.ts';

/** A tank's night to come or under way, as the page shows it. */
export interface NightAhead extends NightForecast {
  /** How many days of its books it was learned over; undefined: reckoned from the tank's size. */
  readonly learnedDays: number | undefined;
  /** Median error of the last forecasts, a fraction; undefined while too few were scored. */
  readonly offBy: number | undefined;
}

/** As many nights are asked how warm the water is kept. */
const RECENT_NIGHTS = 7;

export function nightAhead(
  tank: House['config']['tanks'][string],
  fit: HeatFit,
  memory: NightMemory,
  around: {
    readonly night: Night;
    readonly room: RoomForecast;
    readonly heaterW: number;
    readonly bandK: number;
    readonly priceAt: PriceAt;
  },
): NightAhead {
  const { night, room, heaterW, bandK, priceAt: price } = around;
  const kept = memory.nights.slice(-RECENT_NIGHTS).flatMap(({ tankC }) => tankC ?? []);
  const { otherW } = memory;
  const forecast = forecastNight(fit, {
    ...{ from: night.from, room, heaterW, bandK, price },
    tankC: kept.length > 0 ? median(kept) : usualSetting(tank).tankC,
    otherW: (slot: Instant) =>
      otherW[(slot - night.from) / SLOT] ?? otherW.at(-1) ?? fit.meanOtherW,
  });
  return {
    ...forecast,
    learnedDays: fit.known === 'fitted' ? fit.days : undefined,
    offBy: offBy(memory),
  };
}

const kwh = (energy: number): number => energy / 1e6;

/** As the watch of nights compares it: in the site's currency. */
export function tonightOf(ahead: NightAhead, priceAt: PriceAt, basis: string): Tonight {
  const { from, to, energy, cost, tankC, roomC, learnedDays } = ahead;
  const length = (to - from) / SLOT;
  let priced = 0;
  for (let slot = from; slot < to; slot = (slot + SLOT) as Instant) {
    if (priceAt(slot) !== undefined) priced += 1;
  }
  return {
    cost: cost && cost.value / 1e6,
    costLow: cost && cost.low / 1e6,
    energyKwh: kwh(energy.value),
    degreeHours: ((tankC - roomC) * (to - from)) / HOUR,
    coverage: priced / length,
    basis,
    until: to,
    learnedDays,
    offBy: ahead.offBy,
  };
}

/** Nights that have a cost, likewise. */
export const costsOf = (nights: readonly PastNight[]): NightCost[] =>
  nights.flatMap(({ energy, cost, coverage, degreeHours = 0, basis }) =>
    cost === undefined
      ? []
      : [{ cost: cost / 1e6, energyKwh: kwh(energy), degreeHours, coverage, basis }],
  );
