import type { Known } from '../metering/index.ts';
import type { Rate } from '../tariff/index.ts';
import type { MicroUnits, Millis, MilliwattHours } from '../units/index.ts';
import {
  addRate,
  COST,
  COVERED,
  DIVIDED,
  DRAWING,
  ELAPSED,
  ENERGY,
  KNOWN,
  newTally,
  placeOf,
  SPREAD,
  type Tally,
  UNPRICED,
} from './tally.ts';

/** Whole mWh, and the whole micro-units they cost. */
export interface Amount {
  readonly energy: MilliwattHours;
  /** Of the priced part; see `unpriced`. */
  readonly cost: MicroUnits;
}

export interface RateAmount extends Amount {
  readonly rate: Rate;
  /** The part of `energy` whose time is only spread evenly, so that it may belong to a neighbor. */
  readonly spread: MilliwattHours;
}

/** The books of one device, one tank or the site over some span. Everything adds up. */
export interface Figures extends Amount {
  /** Sums to `energy` and `cost`. */
  readonly byKnown: Readonly<Record<Known, Amount>>;
  /** By `Rate.key`. Sums to `energy` less `unpriced`, and to `cost`. */
  readonly byRate: ReadonlyMap<string, RateAmount>;
  /** Part of `energy` that no tariff and no published price covers: its cost is unknown, and not in `cost`. */
  readonly unpriced: MilliwattHours;
  /** Part of `energy` that is only spread evenly over its time. */
  readonly spread: MilliwattHours;
  /** Part of `energy` that a plug measured for several devices, and that was divided by reckoning. */
  readonly divided: MilliwattHours;
  /** How long it drew. Of a tank or the site: summed over devices, as are the next two. */
  readonly drawing: Millis;
  /** How much of `elapsed` the books know about. */
  readonly covered: Millis;
  /** Time of the span that has passed. */
  readonly elapsed: Millis;
}

/** Time that has passed of which nothing is known: no energy stands in the books for it. */
export const missing = ({ covered, elapsed }: Figures): Millis => (elapsed - covered) as Millis;

export function figuresOf(tally: Tally): Figures {
  const { sums, rates } = tally;
  const amountAt = (energy: number, cost: number): Amount => ({
    energy: (sums[energy] ?? 0) as MilliwattHours,
    cost: (sums[cost] ?? 0) as MicroUnits,
  });
  const timeAt = (place: number): Millis => (sums[place] ?? 0) as Millis;
  const energyAt = (place: number): MilliwattHours => (sums[place] ?? 0) as MilliwattHours;
  const byKnown = Object.fromEntries(
    KNOWN.map((known, index) => [known, amountAt(ENERGY + index, COST + index)]),
  ) as Record<Known, Amount>;
  const byRate = rates.map((rate): [string, RateAmount] => {
    const place = placeOf(tally, rate);
    return [rate.key, { rate, ...amountAt(place, place + 1), spread: energyAt(place + 2) }];
  });
  const sumOf = (from: number): number =>
    sums.slice(from, from + KNOWN.length).reduce((sum, part) => sum + part, 0);
  return {
    energy: sumOf(ENERGY) as MilliwattHours,
    cost: sumOf(COST) as MicroUnits,
    byKnown,
    byRate: new Map(byRate),
    unpriced: energyAt(UNPRICED),
    spread: energyAt(SPREAD),
    divided: energyAt(DIVIDED),
    drawing: timeAt(DRAWING),
    covered: timeAt(COVERED),
    elapsed: timeAt(ELAPSED),
  };
}

export function tallyOf(figures: Figures): Tally {
  const tally = newTally();
  KNOWN.forEach((known, index) => {
    tally.sums[ENERGY + index] = figures.byKnown[known].energy;
    tally.sums[COST + index] = figures.byKnown[known].cost;
  });
  tally.sums[UNPRICED] = figures.unpriced;
  tally.sums[SPREAD] = figures.spread;
  tally.sums[DIVIDED] = figures.divided;
  tally.sums[DRAWING] = figures.drawing;
  tally.sums[COVERED] = figures.covered;
  tally.sums[ELAPSED] = figures.elapsed;
  for (const { rate, energy, cost, spread } of figures.byRate.values()) {
    addRate(tally, rate, energy, cost, spread);
  }
  return tally;
}
