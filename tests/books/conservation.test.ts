import fc from 'fast-check';
import { DateTime } from 'luxon';
import { describe, expect, test } from 'vitest';
import {
  type Account,
  type AccountBasis,
  addAccounts,
  type Entry,
  type Figures,
} from '../../src/books/index.ts';
import { compileTariffs } from '../../src/tariff/index.ts';
import { DAY, type Instant, later, type Span } from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import { basisOf as basisFor, draw as drawn } from './fish-room.ts';
import { type History, history, tariffsOf } from './histories.ts';

const basisOf = (of: History): AccountBasis =>
  basisFor(of.calendar, compileTariffs(tariffsOf(of), of.calendar, 'EUR'), of.devices);
const draw = (of: History, span: Span = of.month, basis = basisOf(of)): Account =>
  drawn(
    span,
    of.entries.filter(({ slot }) => slot >= span.from && slot < span.to),
    basis,
    { now: of.month.to },
  );

const AMOUNTS = ['energy', 'cost', 'unpriced', 'spread'] as const;
const total = (all: Iterable<Figures>, of: (typeof AMOUNTS)[number]): number =>
  [...all].reduce((sum, figures) => sum + figures[of], 0);

/** The price of an entry's slot in micro-units per kWh, found with luxon alone. */
function priceOf({ calendar, prices, begins }: History, { slot }: Entry) {
  const local = DateTime.fromMillis(slot, { zone: calendar.zone });
  const date = local.toISODate() ?? '';
  if (date < begins.flat) return { date, price: undefined, rate: 'none' };
  if (date < begins.timeOfUse) return { date, price: prices.flat, rate: 'flat' };
  const rate = local.hour >= 6 && local.hour < 22 ? ('day' as const) : ('night' as const);
  return { date, price: prices[rate], rate };
}

/** Halves away from zero, in whole numbers only. */
function perKwh(product: bigint): bigint {
  const sign = product < 0n ? -1n : 1n;
  return (sign * (sign * product + 500_000n)) / 1_000_000n;
}

/** What each device costs, in whole numbers: rounded once for each local day and rate. */
function costsByHand(of: History): Map<string, bigint> {
  const products = new Map<string, bigint>();
  for (const entry of of.entries) {
    const { date, price, rate } = priceOf(of, entry);
    if (price === undefined) continue;
    const key = `${entry.device}|${date}|${rate}`;
    const product = BigInt(entry.energy) * BigInt(price);
    products.set(key, (products.get(key) ?? 0n) + product);
  }
  const costs = new Map<string, bigint>();
  for (const [key, product] of products) {
    const device = key.split('|')[0] as string;
    costs.set(device, (costs.get(device) ?? 0n) + perKwh(product));
  }
  return costs;
}

describe('whatever happens in a month', () => {
  test('tanks = devices = site, to the mWh and the micro-unit', () => {
    fc.assert(
      fc.property(history, (of) => {
        const account = draw(of);
        for (const amount of AMOUNTS) {
          expect(total(account.devices.values(), amount)).toBe(account.site[amount]);
          expect(total(account.tanks.values(), amount)).toBe(account.site[amount]);
        }
        expect(account.site.energy).toBe(of.entries.reduce((sum, { energy }) => sum + energy, 0));
      }),
      runs(),
    );
  });

  test('all figures agree by how they are known and by rate', () => {
    fc.assert(
      fc.property(history, (of) => {
        const account = draw(of);
        const everyone = [...account.devices.values(), ...account.tanks.values(), account.site];
        for (const { energy, cost, unpriced, byKnown, byRate } of everyone) {
          const knowns = Object.values(byKnown);
          const rates = [...byRate.values()];
          expect(knowns.reduce((sum, part) => sum + part.energy, 0)).toBe(energy);
          expect(knowns.reduce((sum, part) => sum + part.cost, 0)).toBe(cost);
          expect(rates.reduce((sum, part) => sum + part.energy, 0)).toBe(energy - unpriced);
          expect(rates.reduce((sum, part) => sum + part.cost, 0)).toBe(cost);
        }
      }),
      runs(),
    );
  });

  test('each device costs what whole-number arithmetic and another calendar say', () => {
    fc.assert(
      fc.property(history, (of) => {
        const account = draw(of);
        const byHand = costsByHand(of);
        for (const [id, { cost }] of account.devices)
          expect(BigInt(cost)).toBe(byHand.get(id) ?? 0n);
      }),
      runs(),
    );
  });

  test('the site costs the exact sum to within half a micro-unit a device, day and rate', () => {
    fc.assert(
      fc.property(history, (of) => {
        let exact = 0n;
        const roundings = new Set<string>();
        for (const entry of of.entries) {
          const { date, price, rate } = priceOf(of, entry);
          if (price === undefined) continue;
          exact += BigInt(entry.energy) * BigInt(price);
          roundings.add(`${entry.device} ${date} ${rate}`);
        }
        const off = BigInt(draw(of).site.cost) * 1_000_000n - exact;
        expect(off <= 500_000n * BigInt(roundings.size)).toBe(true);
        expect(-off <= 500_000n * BigInt(roundings.size)).toBe(true);
      }),
      runs(),
    );
  });

  test('each tank has its fraction, to within a unit for each part that was shared', () => {
    fc.assert(
      fc.property(history, (of) => {
        const account = draw(of);
        const exact = new Map<string, number>();
        const parts = new Set<string>();
        for (const entry of of.entries) {
          const config = of.devices[entry.device];
          const shares = config?.shares ?? { [config?.tank ?? 'upkeep']: 1 };
          const { date, rate } = priceOf(of, entry);
          parts.add(`${entry.device} ${date} ${rate} ${entry.known}`);
          for (const [tank, share] of Object.entries(shares)) {
            exact.set(tank, (exact.get(tank) ?? 0) + entry.energy * share);
          }
        }
        // Shares are taken to the millionth.
        const most = of.entries.reduce((sum, { energy }) => sum + Math.abs(energy), 0) * 4e-6;
        for (const [tank, { energy }] of account.tanks) {
          expect(Math.abs(energy - (exact.get(tank) ?? 0))).toBeLessThanOrEqual(parts.size + most);
        }
      }),
      runs(),
    );
  });

  const sumOf = (of: History, cuts: readonly Instant[]): Account => {
    const basis = basisOf(of);
    const ends = [...new Set([of.month.from, ...cuts, of.month.to])].sort((a, b) => a - b);
    const parts = ends
      .slice(1)
      .map((to, index) => draw(of, { from: ends[index] as Instant, to }, basis));
    return parts.reduce(addAccounts);
  };

  test('spans that meet at local midnights add up to the month, in every figure', () => {
    fc.assert(
      fc.property(history, fc.array(fc.nat({ max: 30 }), { maxLength: 4 }), (of, days) => {
        const midnights = days.map((day) => of.calendar.day(later(of.month.from, day * DAY)).from);
        expect(sumOf(of, midnights)).toEqual(draw(of));
      }),
      runs(),
    );
  });

  test('so do all its days', () => {
    fc.assert(
      fc.property(history, (of) => {
        const days = of.calendar.dates(of.month).map((date) => of.calendar.dayOf(date).from);
        expect(sumOf(of, days)).toEqual(draw(of));
      }),
      runs(100),
    );
  });
});
