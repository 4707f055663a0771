import { DateTime } from 'luxon';
import type { DeviceConfig } from '../../src/books/config.ts';
import { HOUR, SLOT } from '../../src/units/index.ts';
import type { History } from './histories.ts';

/**
 * What the books of a history must say, worked out the slow and plain way: luxon for the calendar,
 * big integers for money. Of histories without strips.
 */

/** An entry after the keeper's corrections. */
export interface Booked {
  readonly slot: number;
  readonly device: string;
  readonly known: string;
  readonly energy: number;
  readonly covered: number;
}

/** Slot by slot, correction by correction. */
export function bookedByHand({ entries, corrections }: History): readonly Booked[] {
  let booked: readonly Booked[] = entries;
  for (const { device, span, kind, energy } of corrections) {
    if (kind === 'void') {
      booked = booked.filter(
        (one) => one.device !== device || one.slot < span.from || one.slot >= span.to,
      );
      continue;
    }
    const slots = (span.to - span.from) / SLOT;
    let left: number = energy;
    for (let index = 0; index < slots; index += 1) {
      const slot = span.from + index * SLOT;
      // Each slot takes its part of what is left, the earlier ones the larger.
      const share = Math.sign(left) * Math.ceil(Math.abs(left) / (slots - index));
      left -= share;
      const known = booked
        .filter((one) => one.device === device && one.slot === slot)
        .reduce((sum, { covered }) => sum + covered, 0);
      const covered = Math.max(0, SLOT - known);
      booked = [...booked, { slot, device, known: 'reckoned', energy: share, covered }];
    }
  }
  return booked;
}

const startOf = (date: string, { calendar }: History): number =>
  DateTime.fromISO(date, { zone: calendar.zone }).toMillis();

const walls = new Map<string, { readonly date: string; readonly hour: number }>();

/** What calendar and clock on the wall say, by luxon; remembered, since it takes its time. */
function wallOf(
  slot: number,
  { calendar }: History,
): { readonly date: string; readonly hour: number } {
  const key = `${calendar.zone} ${slot}`;
  const known = walls.get(key);
  if (known !== undefined) return known;
  const local = DateTime.fromMillis(slot, { zone: calendar.zone });
  const wall = { date: local.toISODate() ?? '', hour: local.hour };
  walls.set(key, wall);
  return wall;
}

export const dateOf = (slot: number, of: History): string => wallOf(slot, of).date;

/** The rate of a slot and its price, micro-units per kWh; undefined where nobody tells one. */
export function priceByHand(
  slot: number,
  of: History,
): { rate: string; price: bigint | undefined } {
  const { begins, prices, month } = of;
  const { date, hour: wall } = wallOf(slot, of);
  if (date < begins.flat) return { rate: 'none', price: undefined };
  if (date < begins.timeOfUse) return { rate: 'flat', price: BigInt(prices.flat) };
  if (date < begins.slots) {
    if (wall >= 6 && wall < 22) return { rate: 'day', price: BigInt(prices.day) };
    return { rate: 'night', price: undefined };
  }
  const hour = Math.floor((slot - month.from) / HOUR);
  const published = prices.published[hour % prices.published.length];
  if (published === undefined) return { rate: 'none', price: undefined };
  return { rate: 'slots', price: BigInt(Math.max(0, 2 * published)) };
}

/** The night's price under its blocks. @param ends of the month as the tariff cuts it, mWh */
export function nightByHand(
  of: History,
  booked: readonly Booked[],
  ends: readonly number[],
): bigint {
  const from = startOf(of.begins.timeOfUse, of);
  const to = startOf(of.begins.slots, of);
  let drawn = 0;
  for (const { slot, energy } of booked) if (slot >= from && slot < to) drawn += energy;
  const fishRoom = Math.max(0, drawn);
  const part = (to - from) / (of.month.to - of.month.from);
  const house = fishRoom + Math.round((of.otherPerMonth ?? 0) * part);
  const [first, second, third] = of.prices.night;
  const priceOfKwh = (at: number): number =>
    at < (ends[0] as number) ? first : at < (ends[1] as number) ? second : third;
  const start = of.blocksAt === 'average' ? 0 : house - fishRoom;
  if (start === house) return BigInt(priceOfKwh(house));
  let product = 0n;
  const cuts = [start, ...ends.filter((end) => end > start && end < house), house];
  for (let index = 1; index < cuts.length; index += 1) {
    const begins = cuts[index - 1] as number;
    product += BigInt((cuts[index] as number) - begins) * BigInt(priceOfKwh(begins));
  }
  return divided(product, BigInt(house - start));
}

/** Halves away from zero. */
function divided(over: bigint, under: bigint): bigint {
  const sign = over < 0n ? -1n : 1n;
  return (sign * (2n * sign * over + under)) / (2n * under);
}

/** What each device costs: rounded once for each local day and rate. */
export function costsByHand(of: History, night: bigint): Map<string, bigint> {
  const products = new Map<string, bigint>();
  for (const { slot, device, energy } of bookedByHand(of)) {
    const { rate, price } = priceByHand(slot, of);
    const charged = rate === 'night' ? night : price;
    if (charged === undefined) continue;
    const key = `${device}|${dateOf(slot, of)}|${rate}`;
    products.set(key, (products.get(key) ?? 0n) + BigInt(energy) * charged);
  }
  const costs = new Map<string, bigint>();
  for (const [key, product] of products) {
    const device = key.split('|')[0] as string;
    costs.set(device, (costs.get(device) ?? 0n) + divided(product, 1_000_000n));
  }
  return costs;
}

/** The fractions of a device's local day. @param time in which the energy is known to have been used */
export function fractionsByHand(
  { devices, tanks }: History,
  device: string,
  date: string,
  { energy, time }: { readonly energy: number; readonly time: number },
): Record<string, number> {
  const config: Partial<DeviceConfig> = devices[device] ?? {};
  const { tank, shares, divided: rule } = config.moved?.findLast(({ on }) => on <= date) ?? config;
  if (tank !== undefined) return { [tank]: 1 };
  if (shares !== undefined) return shares;
  if (rule?.by === 'equal') {
    return Object.fromEntries(rule.among.map((id) => [id, 1 / rule.among.length]));
  }
  if (rule?.by !== 'heat-need') return { upkeep: 1 };
  const needs = rule.among.map((id) => {
    const { lossWPerK = 0, keptC = 0 } = tanks[id] ?? {};
    return [id, lossWPerK * Math.max(0, keptC - rule.room_without_c)] as const;
  });
  const needed = needs.reduce((sum, [, watts]) => sum + watts, 0);
  if (needed === 0) return { upkeep: 1 };
  const given = Math.max(needed, time === 0 ? 0 : (energy * 3600) / time);
  const parts = needs.map(([id, watts]) => [id, watts / given] as const);
  return { ...Object.fromEntries(parts), upkeep: 1 - needed / given };
}
