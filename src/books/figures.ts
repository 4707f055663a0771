import type { Known } from '../metering/index.ts';
import type { Rate } from '../tariff/index.ts';
import type { MicroUnits, Millis, MilliwattHours } from '../units/index.ts';

/** From best to least. */
export const KNOWN: readonly Known[] = ['counted', 'integrated', 'bridged', 'reckoned'];

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
  /** Part of `energy` that no tariff prices: its cost is unknown, and not in `cost`. */
  readonly unpriced: MilliwattHours;
  /** Part of `energy` that is only spread evenly over its time. */
  readonly spread: MilliwattHours;
  /** How long it drew. Of a tank or the site: summed over devices, as are the next two. */
  readonly drawing: Millis;
  /** How much of `elapsed` the books know about. */
  readonly covered: Millis;
  /** Time of the span that has passed. */
  readonly elapsed: Millis;
}

/** Time that has passed of which nothing is known: no energy stands in the books for it. */
export const missing = ({ covered, elapsed }: Figures): Millis => (elapsed - covered) as Millis;

type Open<T> = { -readonly [K in keyof T]: T[K] };

/** Figures still being added to. */
export interface OpenFigures extends Open<Omit<Figures, 'byKnown' | 'byRate'>> {
  readonly byKnown: Record<Known, Open<Amount>>;
  readonly byRate: Map<string, Open<RateAmount>>;
}

/** One rate's part of a device's day, by how it is known: places as in KNOWN. */
export interface Line {
  /** undefined where no tariff prices it. */
  readonly rate: Rate | undefined;
  readonly energy: readonly number[];
  readonly cost: readonly number[];
  readonly spread: number;
}

const nothing = (): Open<Amount> => ({ energy: 0 as MilliwattHours, cost: 0 as MicroUnits });

export const openFigures = (): OpenFigures => ({
  ...nothing(),
  byKnown: {
    counted: nothing(),
    integrated: nothing(),
    bridged: nothing(),
    reckoned: nothing(),
  },
  byRate: new Map(),
  unpriced: 0 as MilliwattHours,
  spread: 0 as MilliwattHours,
  drawing: 0 as Millis,
  covered: 0 as Millis,
  elapsed: 0 as Millis,
});

function addAmount(to: Open<Amount>, energy: number, cost: number): void {
  to.energy = (to.energy + energy) as MilliwattHours;
  to.cost = (to.cost + cost) as MicroUnits;
}

function addRate(to: OpenFigures, rate: Rate, energy: number, cost: number, spread: number): void {
  let amount = to.byRate.get(rate.key);
  if (amount === undefined) {
    amount = { ...nothing(), rate, spread: 0 as MilliwattHours };
    to.byRate.set(rate.key, amount);
  }
  addAmount(amount, energy, cost);
  amount.spread = (amount.spread + spread) as MilliwattHours;
}

export function addLine(to: OpenFigures, { rate, energy, cost, spread }: Line): void {
  let energySum = 0;
  let costSum = 0;
  KNOWN.forEach((known, place) => {
    const part = energy[place] ?? 0;
    const partCost = cost[place] ?? 0;
    addAmount(to.byKnown[known], part, partCost);
    energySum += part;
    costSum += partCost;
  });
  addAmount(to, energySum, costSum);
  to.spread = (to.spread + spread) as MilliwattHours;
  if (rate !== undefined) addRate(to, rate, energySum, costSum, spread);
  else to.unpriced = (to.unpriced + energySum) as MilliwattHours;
}

export function addTimes(
  to: OpenFigures,
  times: { readonly drawing: number; readonly covered: number; readonly elapsed: number },
): void {
  to.drawing = (to.drawing + times.drawing) as Millis;
  to.covered = (to.covered + times.covered) as Millis;
  to.elapsed = (to.elapsed + times.elapsed) as Millis;
}

export function addFigures(to: OpenFigures, more: Figures): void {
  addAmount(to, more.energy, more.cost);
  for (const known of KNOWN) {
    addAmount(to.byKnown[known], more.byKnown[known].energy, more.byKnown[known].cost);
  }
  for (const { rate, energy, cost, spread } of more.byRate.values()) {
    addRate(to, rate, energy, cost, spread);
  }
  to.unpriced = (to.unpriced + more.unpriced) as MilliwattHours;
  to.spread = (to.spread + more.spread) as MilliwattHours;
  addTimes(to, more);
}
