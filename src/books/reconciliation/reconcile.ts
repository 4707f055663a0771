import type { Known } from '../../metering/index.ts';
import type { Rate, TariffBook } from '../../tariff/index.ts';
import type { Calendar, MicroUnits, Millis, MilliwattHours, Span } from '../../units/index.ts';
import type { Account } from '../account.ts';
import type { Entry } from '../entry.ts';
import { missing } from '../figures.ts';
import type { HouseInterval, KeptBill } from '../house.ts';
import type { PublishedAt } from '../published-prices.ts';
import { KNOWN } from '../tally.ts';
import { type BillCheck, checkBill } from './bill.ts';
import { type Comparison, compare, type Sides } from './compare.ts';
import { type EnergyByKnown, findings, type ReconcileFinding } from './findings.ts';
import { fishRoomSlots, type RoomDay, roomDay } from './fish-room.ts';
import { type HouseSlots, houseSlots } from './house.ts';
import { slotGrid } from './slots.ts';

/** The fish room held against the house over a span. Rows of each kind sum to `whole`. */
export interface Reconciliation {
  readonly span: Span;
  /** undefined where no interval lies in the span: nothing is known of the house then. */
  readonly house: HouseUse | undefined;
  readonly fishRoom: FishRoomUse;
  readonly whole: Comparison;
  /** By local calendar month, 'YYYY-MM'. */
  readonly months: readonly (Comparison & { readonly month: string; readonly cost: MicroUnits })[];
  /** By the hour that the wall clock shows, 0–23. */
  readonly hours: readonly (Comparison & { readonly hour: number })[];
  /** By rate, in the order they first hold; undefined where no tariff holds. */
  readonly rates: readonly (Comparison & {
    readonly rate: Rate | undefined;
    readonly cost: MicroUnits;
  })[];
  readonly bill: BillCheck;
  readonly findings: readonly ReconcileFinding[];
}

export interface HouseUse {
  readonly energy: MilliwattHours;
  /** The part that the utility only estimated. */
  readonly estimated: MilliwattHours;
  /** Time of the span in which every meter counted. */
  readonly covered: Millis;
  /** What the utility says it cost; undefined where any of its intervals does not say. */
  readonly cost: MicroUnits | undefined;
}

/** As accounts have it; cost of the priced part. */
export interface FishRoomUse {
  readonly energy: MilliwattHours;
  readonly byKnown: EnergyByKnown;
  readonly cost: MicroUnits;
  readonly unpriced: MilliwattHours;
  /** Time that has passed of which nothing is known, summed over devices. */
  readonly missing: Millis;
  readonly elapsed: Millis;
}

export interface ReconcileInput {
  /** Whole local days that are over: a bill's, or a billing month. */
  readonly span: Span;
  readonly calendar: Calendar;
  readonly tariffs: TariffBook;
  /** ISO 4217 code. */
  readonly currency: string;
  /** What touches the span; of one meter they do not overlap. */
  readonly house: readonly HouseInterval[];
  /** Of the span, as they count: see `countedEntries`. */
  readonly entries: Iterable<Entry>;
  /** The fish room's account of each local day of the span. */
  readonly days: Iterable<Account>;
  /** For tariffs with slot prices. */
  readonly publishedAt: PublishedAt;
  readonly bill?: KeptBill | undefined;
}

/**
 * Says what part of the house the fish room is, and where the two, or a bill, contradict each
 * other. A part is taken over the time that both sides know; what is not known is not guessed.
 */
export function reconcile(input: ReconcileInput): Reconciliation {
  const { span, calendar, tariffs, bill: kept } = input;
  const days = Array.from(input.days, roomDay);
  const grid = slotGrid(span, calendar, tariffs);
  const house = houseSlots(input.house, grid);
  const fishRoom = fishRoomSlots(input.entries, days, grid);
  const sides: Sides = { grid, house, fishRoom };
  const room = fishRoomUse(days, fishRoom.byKnown);
  const bill = checkBill(span, kept, house, grid, input);
  const costs = costsOf(days, calendar);
  const [whole] = compare(sides, 1, () => 0) as [Comparison];
  const rowsOf = (rows: number, places: Int32Array): Comparison[] =>
    compare(sides, rows, (index) => places[index] ?? -1);
  return {
    span,
    house: houseUse(house),
    fishRoom: room,
    whole,
    months: rowsOf(grid.months.length, grid.month).map((row, index) => {
      const month = grid.months[index] as string;
      return { ...row, month, cost: costs.months.get(month) ?? NO_COST };
    }),
    hours: rowsOf(24, grid.hour).map((row, hour) => ({ ...row, hour })),
    rates: rowsOf(grid.rates.length, grid.rate).map((row, index) => {
      const rate = grid.rates[index];
      return { ...row, rate, cost: costs.rates.get(rate?.key) ?? NO_COST };
    }),
    bill,
    findings: findings(sides, room, bill, calendar),
  };
}

const NO_COST = 0 as MicroUnits;

const sum = (values: Iterable<number>): number => {
  let all = 0;
  for (const value of values) all += value;
  return all;
};

function houseUse({ energy, covered, estimated, cost, meters }: HouseSlots): HouseUse | undefined {
  if (meters === 0) return undefined;
  return {
    energy: sum(energy) as MilliwattHours,
    estimated: estimated as MilliwattHours,
    covered: sum(covered) as Millis,
    cost: cost as MicroUnits | undefined,
  };
}

function fishRoomUse(days: readonly RoomDay[], byKnown: readonly Float64Array[]): FishRoomUse {
  const sums = byKnown.map(sum);
  const known = Object.fromEntries(KNOWN.map((name, place) => [name, sums[place] ?? 0]));
  const over = (of: (day: RoomDay) => number): number => sum(days.map(of));
  return {
    energy: sum(sums) as MilliwattHours,
    byKnown: known as Record<Known, MilliwattHours>,
    cost: over(({ site }) => site.cost) as MicroUnits,
    unpriced: over(({ site }) => site.unpriced) as MilliwattHours,
    missing: over(({ site }) => missing(site)) as Millis,
    elapsed: over(({ site }) => site.elapsed) as Millis,
  };
}

function costsOf(days: readonly RoomDay[], calendar: Calendar) {
  const months = new Map<string, MicroUnits>();
  const rates = new Map<string | undefined, MicroUnits>();
  for (const { span, site } of days) {
    const month = calendar.dateAt(span.from).slice(0, 7);
    months.set(month, ((months.get(month) ?? 0) + site.cost) as MicroUnits);
    for (const [key, { cost }] of site.byRate) {
      rates.set(key, ((rates.get(key) ?? 0) + cost) as MicroUnits);
    }
  }
  return { months, rates };
}
