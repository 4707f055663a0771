import {
  CodedError,
  coinOf,
  type MicroPerKwh,
  type MicroUnits,
  type MilliwattHours,
} from '../units/index.ts';
import type { BilledDays } from './billing-months.ts';
import { fillBlocks } from './block-price.ts';
import { type Charge, percentOf } from './charges.ts';
import { type Fraction, MILLION, rounded, times, whole } from './exact.ts';
import type { Bill, BillLine, BillUse, Rate, RatePrice } from './rate.ts';
import type { SlotFormula } from './slot-formula.ts';

/** A rate with the price of its energy alone, before charges. */
export interface BilledRate {
  readonly rate: Rate;
  readonly bare: RatePrice;
}

export interface BillBasis {
  readonly tariff: string;
  readonly rates: readonly BilledRate[];
  readonly charges: readonly Charge[];
  readonly formula: SlotFormula | undefined;
  readonly currency: string;
}

/**
 * Writes a bill: the energy by rate and block, then the charges in their order. Every line is
 * rounded to the coin, and a percent is taken of the rounded lines, as utilities do.
 */
export function writeBill(
  basis: BillBasis,
  { days, of }: BilledDays,
  ends: readonly MilliwattHours[] | undefined,
  use: BillUse,
): Bill {
  const coin = BigInt(coinOf(basis.currency));
  const inCoins = (amount: Fraction): MicroUnits => rounded(amount, coin) as MicroUnits;
  refuseStrangers(basis, use);
  const energy = sumOf([...use.byRate.values()].map((each) => each.energy));
  const lines: BillLine[] = basis.rates.flatMap((rate) =>
    energyLines(basis, rate, use, ends, energy).map(({ amount, ...line }) => ({
      ...line,
      kind: 'energy' as const,
      amount: inCoins(amount),
    })),
  );
  const sums = [sumOf(lines.map(({ amount }) => amount))];
  for (const { name, by, rate, of: bases } of basis.charges) {
    const price = Number(rate) as MicroPerKwh;
    const none = { energy: undefined, perKwh: undefined };
    const add = (line: Omit<BillLine, 'name' | 'amount'>, exact: Fraction): void => {
      const amount = inCoins(exact);
      lines.push({ name, ...line, amount });
      sums.push(amount);
    };
    if (by === 'kwh') add({ kind: 'levy', energy, perKwh: price }, costOf(energy, price));
    else if (by === 'day') add({ kind: 'standing', ...none }, whole(rate * BigInt(days.length)));
    else if (by === 'month') {
      const over = rate * BigInt(days.length);
      add({ kind: 'standing', ...none }, { over, under: BigInt(of) });
    } else {
      const base = sumOf(bases.map((line) => sums[line] ?? 0));
      add({ kind: 'tax', ...none }, times(whole(base), percentOf(rate)));
    }
  }
  return { lines, energy, total: sumOf(lines.map(({ amount }) => amount)) as MicroUnits };
}

type EnergyLine = Omit<BillLine, 'amount' | 'kind'> & { readonly amount: Fraction };

function energyLines(
  { tariff, formula }: BillBasis,
  { rate, bare }: BilledRate,
  use: BillUse,
  ends: readonly MilliwattHours[] | undefined,
  house: MilliwattHours,
): EnergyLine[] {
  const used = use.byRate.get(rate.id);
  if (used === undefined || used.energy === 0) return [];
  const { name } = rate;
  const { energy, published, formed } = used;
  switch (bare.kind) {
    case 'fixed':
      return [{ name, energy, perKwh: bare.perKwh, amount: costOf(energy, bare.perKwh) }];
    case 'blocks':
      return split(energy, fillBlocks(house, ends ?? []), house).flatMap((part, block) => {
        const perKwh = bare.perKwh[block] as MicroPerKwh;
        const line = { name: `${name}, block ${block + 1}`, energy: part, perKwh };
        return part === 0 ? [] : [{ ...line, amount: costOf(part, perKwh) }];
      });
    case 'slots': {
      const line = { name, energy, perKwh: undefined };
      if (formed !== undefined) return [{ ...line, amount: { over: formed, under: MILLION } }];
      if (published !== undefined && formula?.bent === false) {
        return [{ ...line, amount: formula.cost(energy, published) }];
      }
      throw new CodedError('AMP_TARIFF_BILL', `nothing tells the slot prices of '${tariff}'`, {
        remedy: 'hand in `formed`, or `published` where no floor or cap bends the formula',
      });
    }
  }
}

function refuseStrangers({ tariff, rates }: BillBasis, use: BillUse): void {
  const known = new Set(rates.map(({ rate }) => rate.id));
  for (const id of use.byRate.keys()) {
    if (known.has(id)) continue;
    throw new CodedError('AMP_TARIFF_BILL', `'${tariff}' has no rate '${id}' to bill`, {
      remedy: 'bill each tariff for the energy of its own rates',
    });
  }
}

const costOf = (energy: MilliwattHours, perKwh: MicroPerKwh): Fraction => ({
  over: BigInt(energy) * BigInt(perKwh),
  under: MILLION,
});

const sumOf = <N extends number>(amounts: readonly N[]): N =>
  amounts.reduce<number>((a, b) => a + b, 0) as N;

/**
 * Divides one rate's energy over the blocks as they divide the house's, in whole mWh that sum to
 * it. Where the house has taken nothing in all, it lies in the first block.
 */
function split(
  energy: MilliwattHours,
  fills: readonly number[],
  house: MilliwattHours,
): MilliwattHours[] {
  if (house <= 0) return fills.map((_, block) => (block === 0 ? energy : 0) as MilliwattHours);
  let filled = 0;
  let given = 0;
  return fills.map((fill) => {
    filled += fill;
    const upTo = rounded({ over: BigInt(energy) * BigInt(filled), under: BigInt(house) });
    const part = upTo - given;
    given = upTo;
    return part as MilliwattHours;
  });
}
