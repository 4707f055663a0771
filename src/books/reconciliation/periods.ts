import type { Rate, Tariff, TariffBook } from '../../tariff/index.ts';
import { apportion, type Instant, type MilliwattHours, type Span } from '../../units/index.ts';
import type { PublishedAt } from '../published-prices.ts';
import type { HouseSlots } from './house.ts';
import { indexOf, type SlotGrid, slotAt } from './slots.ts';

/** Energy of the house by rate, in one billing month of one tariff. */
export interface Period {
  readonly tariff: Tariff;
  readonly month: Span;
  readonly rates: readonly RateUse[];
}

export interface RateUse {
  readonly rate: Rate;
  readonly energy: MilliwattHours;
  /** Of slot prices: Σ mWh × `energyPrice`; undefined where a price is not known. */
  readonly formed: bigint | undefined;
  /** The highest price of a kWh, or credit. */
  readonly dearest: number;
}

/**
 * The billing months of a span, tariff by tariff. A span that does not begin and end with one is
 * what the utility billed at once: one period for each tariff. Undefined where no tariff holds.
 */
export function periodsOf(
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

export function usedIn(
  tariff: Tariff,
  month: Span,
  house: HouseSlots,
  grid: SlotGrid,
  publishedAt: PublishedAt,
): Period {
  const { series } = tariff;
  const uses = new Map<string, Writable<RateUse>>();
  for (let index = indexOf(grid, month.from); index < indexOf(grid, month.to); index += 1) {
    const rate = grid.rates[grid.rate[index] ?? -1];
    if (rate === undefined) continue;
    const use = uses.get(rate.id) ?? newUse(rate);
    uses.set(rate.id, use);
    const energy = (house.energy[index] ?? 0) as MilliwattHours;
    use.energy = (use.energy + energy) as MilliwattHours;
    if (rate.price.kind !== 'slots' || series === undefined || energy === 0) continue;
    const published = publishedAt(series, slotAt(grid, index));
    if (published === undefined) {
      use.formed = undefined;
      continue;
    }
    const product = BigInt(energy) * BigInt(tariff.energyPrice(published));
    if (use.formed !== undefined) use.formed += product;
    use.dearest = Math.max(use.dearest, Math.abs(tariff.slotPrice(published)));
  }
  return { tariff, month, rates: [...uses.values()] };
}

type Writable<T> = { -readonly [K in keyof T]: T[K] };

function newUse(rate: Rate): Writable<RateUse> {
  const { price } = rate;
  const prices =
    price.kind === 'fixed' ? [price.perKwh] : price.kind === 'blocks' ? price.perKwh : [];
  const dearest = Math.max(0, ...prices.map(Math.abs));
  return { rate, energy: 0 as MilliwattHours, formed: 0n, dearest };
}

/** The stated energy, divided among months and rates as what was counted. */
export function scaled(periods: readonly Period[], stated: MilliwattHours): readonly Period[] {
  const counted = periods.flatMap(({ rates }) => rates.map(({ energy }) => energy));
  if (counted.some((energy) => energy < 0) || counted.every((energy) => energy === 0))
    return periods;
  const parts = apportion(stated, counted);
  let next = 0;
  return periods.map((period) => ({
    ...period,
    rates: period.rates.map((use) => {
      const energy = parts[next++] ?? use.energy;
      return { ...use, energy, formed: inProportion(use, energy) };
    }),
  }));
}

function inProportion({ energy, formed }: RateUse, to: MilliwattHours): bigint | undefined {
  if (formed === undefined || energy === 0) return formed;
  return (formed * BigInt(to)) / BigInt(energy);
}

/** A stated energy is all there is to price where one rate holds all the time. */
export function withOneRate(
  period: Period | undefined,
  stated: MilliwattHours,
): Period | undefined {
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
