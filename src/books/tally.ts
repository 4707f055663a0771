import type { Known } from '../metering/index.ts';
import type { Rate } from '../tariff/index.ts';

/** From best to least. */
export const KNOWN: readonly Known[] = ['counted', 'integrated', 'bridged', 'reckoned'];

/**
 * Figures while they are added up: a year of days adds tens of thousands of them, so they are flat
 * numbers, and the account's objects are made of the sum at the end.
 */
export interface Tally {
  /** At the places below; all whole numbers. */
  readonly sums: number[];
  readonly rates: Rate[];
}

/** Energy by how it is known, in the order of KNOWN; then its cost. */
export const ENERGY = 0;
export const COST = ENERGY + KNOWN.length;
export const UNPRICED = COST + KNOWN.length;
export const SPREAD = UNPRICED + 1;
export const DIVIDED = SPREAD + 1;
export const DRAWING = DIVIDED + 1;
export const COVERED = DRAWING + 1;
export const ELAPSED = COVERED + 1;
/** Then for each of `rates`: energy, cost, spread. */
const RATES = ELAPSED + 1;
const PER_RATE = 3;

/** One rate's part of a device's day, by how it is known: places as in KNOWN. */
export interface Line {
  /** undefined where no tariff prices it. */
  readonly rate: Rate | undefined;
  readonly energy: readonly number[];
  readonly cost: readonly number[];
  readonly spread: number;
  readonly divided: number;
}

export interface Times {
  readonly drawing: number;
  readonly covered: number;
  readonly elapsed: number;
}

export const newTally = (): Tally => ({ sums: new Array(RATES).fill(0), rates: [] });

function add(sums: number[], place: number, more: number): void {
  sums[place] = (sums[place] ?? 0) + more;
}

/** Where the sums of a rate begin. Rates of one key are one rate. */
export function placeOf(tally: Tally, rate: Rate): number {
  const { rates, sums } = tally;
  let index = rates.findIndex(({ key }) => key === rate.key);
  if (index < 0) {
    index = rates.push(rate) - 1;
    sums.push(0, 0, 0);
  }
  return RATES + index * PER_RATE;
}

export function addRate(to: Tally, rate: Rate, energy: number, cost: number, spread: number): void {
  const place = placeOf(to, rate);
  add(to.sums, place, energy);
  add(to.sums, place + 1, cost);
  add(to.sums, place + 2, spread);
}

export function addLine(to: Tally, { rate, energy, cost, spread, divided }: Line): void {
  let energySum = 0;
  let costSum = 0;
  for (let known = 0; known < KNOWN.length; known += 1) {
    const part = energy[known] ?? 0;
    const partCost = cost[known] ?? 0;
    add(to.sums, ENERGY + known, part);
    add(to.sums, COST + known, partCost);
    energySum += part;
    costSum += partCost;
  }
  add(to.sums, SPREAD, spread);
  add(to.sums, DIVIDED, divided);
  if (rate === undefined) add(to.sums, UNPRICED, energySum);
  else addRate(to, rate, energySum, costSum, spread);
}

export function addTimes(to: Tally, { drawing, covered, elapsed }: Times): void {
  add(to.sums, DRAWING, drawing);
  add(to.sums, COVERED, covered);
  add(to.sums, ELAPSED, elapsed);
}

export function addTally(to: Tally, more: Tally): void {
  for (let place = 0; place < RATES; place += 1) add(to.sums, place, more.sums[place] ?? 0);
  more.rates.forEach((rate, index) => {
    const place = RATES + index * PER_RATE;
    const [energy, cost, spread] = [more.sums[place], more.sums[place + 1], more.sums[place + 2]];
    addRate(to, rate, energy ?? 0, cost ?? 0, spread ?? 0);
  });
}
