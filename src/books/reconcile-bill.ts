import type { Bill, BillUse, Rate, Tariff, TariffBook } from '../tariff/index.ts';
import {
  apportion,
  cost,
  currencyDecimals,
  type Instant,
  type MicroPerKwh,
  type MicroUnits,
  type MilliwattHours,
  SLOT,
  type Span,
} from '../units/index.ts';
import type { KeptBill } from './house.ts';
import type { HouseSlots } from './reconcile-house.ts';
import type { PublishedAt } from './reconcile-published.ts';
import { indexOf, type SlotGrid, slotAt } from './reconcile-slots.ts';

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

/** Energy of the house by rate, in one billing month of one tariff. */
interface Period {
  readonly tariff: Tariff;
  readonly month: Span;
  readonly rates: readonly RateUse[];
}

interface RateUse {
  readonly rate: Rate;
  readonly energy: MilliwattHours;
  /** Σ mWh × published micro-units per kWh. */
  readonly published: bigint | undefined;
}

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
    const unsure = Math.max(energyTolerance, Math.abs(energyDifference ?? 0));
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

/**
 * The billing months of a span, tariff by tariff. A span that does not begin and end with one is
 * what the utility billed at once: one period for each tariff. Undefined where no tariff holds.
 */
function periodsOf(
  span: Span,
  tariffs: TariffBook,
): { readonly tariff: Tariff; readonly month: Span }[] | undefined {
  const periods: { tariff: Tariff; month: Span }[] = [];
  let from = span.from;
  while (from < span.to) {
    const tariff = tariffs.tariffAt(from);
    if (tariff === undefined) return undefined;
    const to = Math.min(tariff.to ?? span.to, span.to) as Instant;
    periods.push(...monthsWithin({ from, to }, tariff).map((month) => ({ tariff, month })));
    from = to;
  }
  return periods;
}

function monthsWithin(span: Span, tariff: Tariff): Span[] {
  const months: Span[] = [];
  let from = span.from;
  while (from < span.to) {
    const month = tariff.month(from);
    if (month.from !== from || month.to > span.to) return [span];
    months.push(month);
    from = month.to;
  }
  return months;
}

function usedIn(
  tariff: Tariff,
  month: Span,
  house: HouseSlots,
  grid: SlotGrid,
  publishedAt: PublishedAt,
): Period {
  const uses = new Map<string, { rate: Rate; energy: number; published: bigint | undefined }>();
  for (let index = indexOf(grid, month.from); index < indexOf(grid, month.to); index += 1) {
    const rate = grid.rates[grid.rate[index] ?? -1];
    if (rate === undefined) continue;
    let use = uses.get(rate.id);
    if (use === undefined) {
      use = { rate, energy: 0, published: 0n };
      uses.set(rate.id, use);
    }
    const energy = house.energy[index] ?? 0;
    use.energy += energy;
    if (rate.price.kind !== 'slots' || energy === 0 || use.published === undefined) continue;
    const price = tariff.series && publishedAt(tariff.series, slotAt(grid, index));
    use.published =
      typeof price === 'number' ? use.published + BigInt(energy) * BigInt(price) : undefined;
  }
  return {
    tariff,
    month,
    rates: [...uses.values()].map((use) => ({ ...use, energy: use.energy as MilliwattHours })),
  };
}

/** The stated energy, divided among months and rates as what was counted. */
function scaled(periods: readonly Period[], stated: MilliwattHours): readonly Period[] {
  const counted = periods.flatMap(({ rates }) => rates.map(({ energy }) => energy));
  if (counted.some((energy) => energy < 0) || total(counted) <= 0) return periods;
  const parts = apportion(stated, counted);
  let next = 0;
  return periods.map((period) => ({
    ...period,
    rates: period.rates.map((use) => {
      const energy = parts[next++] ?? use.energy;
      return { ...use, energy, published: inProportion(use, energy) };
    }),
  }));
}

function inProportion({ energy, published }: RateUse, to: MilliwattHours): bigint | undefined {
  if (published === undefined || energy === 0) return published;
  return (published * BigInt(to)) / BigInt(energy);
}

/** A stated energy is all there is to price where one rate holds all the time. */
function withOneRate(period: Period | undefined, stated: MilliwattHours): Period | undefined {
  const [use, another] = period?.rates ?? [];
  if (
    period === undefined ||
    use === undefined ||
    another !== undefined ||
    use.rate.price.kind === 'slots'
  ) {
    return undefined;
  }
  return { ...period, rates: [{ ...use, energy: stated }] };
}

function computeBill(
  periods: readonly Period[],
  from: ComputedBill['from'],
  currency: string,
  unsure: number,
): ComputedBill | undefined {
  const priced = periods.every(({ rates }) =>
    rates.every(({ rate, published }) => rate.price.kind !== 'slots' || published !== undefined),
  );
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
    rates.map(({ rate, energy, published }) => [
      rate.id,
      rate.price.kind === 'slots' && published !== undefined ? { energy, published } : { energy },
    ]),
  );

/**
 * One coin for each line, for the utility's own way of rounding; and where what it billed at each
 * rate is not stated, what that energy may be unsure by, at the dearest price.
 */
function toleranceOf(
  bills: readonly Bill[],
  periods: readonly Period[],
  currency: string,
  unsure: MilliwattHours,
): MicroUnits {
  const coin = 10 ** (6 - currencyDecimals(currency));
  const lines = total(bills.map((bill) => bill.lines.length));
  const rates = periods.flatMap(({ tariff, rates }) => rates.map((use) => dearest(use, tariff)));
  const price = Math.max(0, ...rates) as MicroPerKwh;
  return (lines * coin + rates.length * cost(unsure, price)) as MicroUnits;
}

/** The highest price of a rate, or credit; of slot prices the mean. */
function dearest({ rate, energy, published }: RateUse, tariff: Tariff): number {
  if (rate.price.kind === 'fixed') return Math.abs(rate.price.perKwh);
  if (rate.price.kind === 'blocks') return Math.max(...rate.price.perKwh.map(Math.abs));
  if (published === undefined || energy === 0) return 0;
  const mean = Math.round(Number(published) / energy) as MicroPerKwh;
  return Math.abs(tariff.slotPrice(mean));
}
