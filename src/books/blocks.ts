import { blockPrice, type Tariff } from '../tariff/index.ts';
import {
  type Calendar,
  DAY,
  type Instant,
  type MicroPerKwh,
  type MilliwattHours,
  type Span,
} from '../units/index.ts';
import type { HouseInterval } from './house.ts';

/** How the fish room is priced where a price depends on how much was used before. */
export type BlocksAt = 'average' | 'marginal';

/** What the prices of a billing month with blocks rest on. */
export interface BlockUse {
  /** The tariff it belongs to. */
  readonly tariff: string;
  readonly month: Span;
  /** Of the whole house, never less than of the fish room. */
  readonly house: MilliwattHours;
  readonly fishRoom: MilliwattHours;
  /** Where the rest of the house was taken from. */
  readonly known: 'imported' | 'stated' | 'fish-room-alone';
  /** Whether a part of the month was projected from the rest. */
  readonly projected: boolean;
  /** By `Rate.key`, for the rates that have blocks. */
  readonly prices: ReadonlyMap<string, Readonly<Record<BlocksAt, MicroPerKwh>>>;
}

export const hasBlocks = ({ rates }: Tariff): boolean =>
  rates.some(({ price }) => price.kind === 'blocks');

/** Energy that is known of a part of a month. */
export interface UseSoFar {
  readonly energy: number;
  /** The time in which it was used, ms. */
  readonly time: number;
}

/** What the meters of the house counted in a month. */
export interface MeteredUse extends UseSoFar {
  /** The end of the last interval. */
  readonly until: Instant;
}

interface Known {
  readonly fishRoom: UseSoFar;
  readonly house: MeteredUse | undefined;
  readonly otherPerMonth: MilliwattHours | undefined;
  readonly now: Instant;
}

/** From less than a day a month cannot be told. */
const LEAST_KNOWN = DAY;
/** Utilities lose a reading now and then. */
const COVERED_ENOUGH = 0.99;
/** Meter data comes some days late: a month under way goes by it if it reaches this far. */
const REACHES_ENOUGH = 0.5;

/**
 * The use of a billing month and the prices that follow, for a tariff with blocks. Of a month that
 * is known in part the rest is taken to be like it.
 */
export function blockUse(
  tariff: Tariff,
  month: Span,
  { fishRoom: soFar, house, otherPerMonth, now }: Known,
  calendar: Calendar,
): BlockUse | undefined {
  const ends = tariff.blockEnds(month);
  if (ends === undefined) return undefined;
  const fishRoom = wholeMonth(soFar, month);
  const rest = restOfHouse(tariff, month, { house, otherPerMonth, now }, calendar);
  const all = rest.known === 'imported' ? rest.energy : fishRoom + rest.energy;
  const use = {
    house: Math.max(all, fishRoom) as MilliwattHours,
    part: fishRoom as MilliwattHours,
  };
  const prices = tariff.rates.flatMap(({ key, price }) => {
    if (price.kind !== 'blocks') return [];
    const average = blockPrice(price.perKwh, ends, use, 'average');
    const marginal = blockPrice(price.perKwh, ends, use, 'marginal');
    return [[key, { average, marginal }]] as const;
  });
  return {
    tariff: tariff.id,
    month,
    house: use.house,
    fishRoom: use.part,
    known: rest.known,
    projected: now < month.to || soFar.time < month.to - month.from || rest.projected,
    prices: new Map(prices),
  };
}

function wholeMonth({ energy, time }: UseSoFar, month: Span): number {
  const length = month.to - month.from;
  if (time >= length) return Math.max(0, energy);
  return Math.max(0, Math.round((energy * length) / Math.max(time, LEAST_KNOWN)));
}

function restOfHouse(
  tariff: Tariff,
  month: Span,
  { house, otherPerMonth, now }: Pick<Known, 'house' | 'otherPerMonth' | 'now'>,
  calendar: Calendar,
): { readonly energy: number; readonly known: BlockUse['known']; readonly projected: boolean } {
  if (house !== undefined && isEnough(house, month, now)) {
    const time = Math.min(house.until, month.to) - month.from;
    // A missing reading in between is not a reading of nothing.
    const energy = (house.energy * time) / house.time;
    const projected = house.until < month.to;
    return { energy: wholeMonth({ energy, time }, month), known: 'imported', projected };
  }
  if (otherPerMonth === undefined) return { energy: 0, known: 'fish-room-alone', projected: false };
  const part = partOfMonth(tariff, month, calendar);
  return { energy: Math.round(otherPerMonth * part), known: 'stated', projected: false };
}

function isEnough({ time, until }: MeteredUse, month: Span, now: Instant): boolean {
  const reached = Math.min(until, month.to) - month.from;
  if (time < reached * COVERED_ENOUGH) return false;
  if (now >= month.to) return reached >= (month.to - month.from) * COVERED_ENOUGH;
  return reached >= Math.max(LEAST_KNOWN, (now - month.from) * REACHES_ENOUGH);
}

/** How much of a month a billing month is that may be cut where the tariff begins or ends, 0–1. */
function partOfMonth({ from, to }: Tariff, month: Span, calendar: Calendar): number {
  if (month.from !== from && month.to !== to) return 1;
  const whole = calendar.month(month.from);
  return Math.min(1, (month.to - month.from) / (whole.to - whole.from));
}

/**
 * What the meters of the house counted in a month; several meters add up. Undefined where one of
 * them is missing for a part of the time that another knows.
 */
export function meteredUse(
  intervals: readonly HouseInterval[],
  month: Span,
): MeteredUse | undefined {
  const meters = new Map<string, { energy: number; time: number; until: number }>();
  for (const { meter, from, to, energy } of intervals) {
    const time = Math.min(to, month.to) - Math.max(from, month.from);
    if (time <= 0) continue;
    const sum = meters.get(meter) ?? { energy: 0, time: 0, until: month.from };
    sum.energy += time === to - from ? energy : (energy * time) / (to - from);
    sum.time += time;
    sum.until = Math.max(sum.until, Math.min(to, month.to));
    meters.set(meter, sum);
  }
  const all = [...meters.values()];
  if (all.length === 0) return undefined;
  const until = Math.min(...all.map((sum) => sum.until)) as Instant;
  const most = Math.max(...all.map((sum) => sum.until));
  if (until < most - LEAST_KNOWN) return undefined;
  return {
    energy: all.reduce((sum, { energy }) => sum + energy, 0),
    time: Math.min(...all.map(({ time }) => time)),
    until,
  };
}
