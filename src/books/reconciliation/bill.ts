import type { Bill, BillUse, TariffBook } from '../../tariff/index.ts';
import {
  coinOf,
  cost,
  type MicroPerKwh,
  type MicroUnits,
  type MilliwattHours,
  SLOT,
  type Span,
} from '../../units/index.ts';
import type { KeptBill } from '../house.ts';
import type { PublishedAt } from '../published-prices.ts';
import type { HouseSlots } from './house.ts';
import { type Period, periodsOf, type RateUse, scaled, usedIn, withOneRate } from './periods.ts';
import type { SlotGrid } from './slots.ts';

/** A bill as stated, as the intervals have it and as the tariff makes it. */
export interface BillCheck {
  readonly kept: KeptBill | undefined;
  /** What the intervals counted; undefined unless they cover the whole span. */
  readonly counted: MilliwattHours | undefined;
  /** Stated less counted; undefined where one of them is unknown. */
  readonly energyDifference: MilliwattHours | undefined;
  /** How far the two may be apart for no other reason than how bills are written. */
  readonly energyTolerance: MilliwattHours;
  readonly computed: ComputedBill | undefined;
  /** Stated less computed; undefined where one of them is unknown. */
  readonly totalDifference: MicroUnits | undefined;
}

export interface ComputedBill {
  /** One for each billing month and tariff. */
  readonly bills: readonly Bill[];
  readonly total: MicroUnits;
  /**
   * Where its energy comes from. stated: the bill's own, divided among the rates as the intervals
   * are where there are several. intervals: what they counted.
   */
  readonly from: 'stated' | 'intervals';
  /** How far a right bill may be from it. */
  readonly tolerance: MicroUnits;
}

/**
 * Bills state whole kilowatt-hours, as the difference of two register readings cut to whole ones
 * (common practice, no source): for each meter less than this away from what was drawn.
 */
const WHOLE_KWH = 1_000_000;

export function checkBill(
  span: Span,
  kept: KeptBill | undefined,
  house: HouseSlots,
  grid: SlotGrid,
  basis: {
    readonly tariffs: TariffBook;
    readonly currency: string;
    readonly publishedAt: PublishedAt;
  },
): BillCheck {
  const whole = grid.count > 0 && house.covered.every((time) => time === SLOT);
  const counted = whole ? (total(house.energy) as MilliwattHours) : undefined;
  const stated = kept?.energy;
  const energyDifference = difference(stated, counted);
  const energyTolerance = (Math.max(1, house.meters) * WHOLE_KWH) as MilliwattHours;
  const agree = energyDifference !== undefined && Math.abs(energyDifference) <= energyTolerance;
  const periods = periodsOf(span, basis.tariffs)?.map(({ tariff, month }) =>
    usedIn(tariff, month, house, grid, basis.publishedAt),
  );
  const [only, another] = periods ?? [];
  const single =
    another === undefined && stated !== undefined ? withOneRate(only, stated) : undefined;
  let computed: ComputedBill | undefined;
  if (single !== undefined) {
    computed = computeBill([single], 'stated', basis.currency, 0);
  } else if (periods !== undefined && counted !== undefined) {
    const used = agree ? scaled(periods, stated as MilliwattHours) : periods;
    const rates = periods.flatMap((period) => period.rates).length;
    const unsure = Math.max(rates * energyTolerance, Math.abs(energyDifference ?? 0));
    computed = computeBill(used, agree ? 'stated' : 'intervals', basis.currency, unsure);
  }
  return {
    kept,
    counted,
    energyDifference,
    energyTolerance,
    computed,
    totalDifference: difference(kept?.total, computed?.total),
  };
}

const total = (values: Iterable<number>): number => {
  let sum = 0;
  for (const value of values) sum += value;
  return sum;
};

const difference = <Amount extends number>(
  a: Amount | undefined,
  b: Amount | undefined,
): Amount | undefined => (a === undefined || b === undefined ? undefined : ((a - b) as Amount));

function computeBill(
  periods: readonly Period[],
  from: ComputedBill['from'],
  currency: string,
  unsure: number,
): ComputedBill | undefined {
  const priced = periods.every(({ rates }) => rates.every(({ formed }) => formed !== undefined));
  if (!priced) return undefined;
  const bills = periods.map(({ tariff, month, rates }) =>
    tariff.bill(month, { byRate: useOf(rates) }),
  );
  return {
    bills,
    total: total(bills.map((bill) => bill.total)) as MicroUnits,
    from,
    tolerance: toleranceOf(bills, periods, currency, unsure as MilliwattHours),
  };
}

const useOf = (rates: readonly RateUse[]): BillUse['byRate'] =>
  new Map(
    rates.map(({ rate, energy, formed }) => [
      rate.id,
      rate.price.kind === 'slots' && formed !== undefined ? { energy, formed } : { energy },
    ]),
  );

/**
 * One coin for each line, for the utility's own way of rounding; and where it does not state what it
 * billed at each rate, all by which that energy may be off, at the dearest price.
 */
function toleranceOf(
  bills: readonly Bill[],
  periods: readonly Period[],
  currency: string,
  unsure: MilliwattHours,
): MicroUnits {
  const lines = total(bills.map((bill) => bill.lines.length));
  const prices = periods.flatMap(({ rates }) => rates.map(({ dearest }) => dearest));
  const price = Math.max(0, ...prices) as MicroPerKwh;
  return (lines * coinOf(currency) + cost(unsure, price)) as MicroUnits;
}
