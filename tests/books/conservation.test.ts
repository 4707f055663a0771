import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  type Account,
  addAccounts,
  createAccountBook,
  type Figures,
} from '../../src/books/index.ts';
import { DAY, type Instant, later, type Span } from '../../src/units/index.ts';
import {
  bookedByHand,
  costsByHand,
  dateOf,
  fractionsByHand,
  nightByHand,
  priceByHand,
} from './by-hand.ts';
import { basisOf, type History, history, plainHistory, storeOf, tries } from './histories.ts';

/** Draws any spans of a history, as of the month's end. */
const drawer = (of: History): ((span: Span) => Account) => {
  const book = createAccountBook(storeOf(of), basisOf(of));
  return (span) => book.account(span, of.month.to);
};
const draw = (of: History): Account => drawer(of)(of.month);

const AMOUNTS = ['energy', 'cost', 'unpriced', 'spread', 'divided'] as const;
const total = (all: Iterable<Figures>, of: (typeof AMOUNTS)[number]): number =>
  [...all].reduce((sum, figures) => sum + figures[of], 0);

/** The price of a night kWh, worked out by hand but for where the tariff ends the blocks. */
function night(of: History): bigint {
  const at = of.calendar.dayOf(of.begins.timeOfUse as never).from;
  const tariff = basisOf(of).tariffs.tariffAt(at);
  const ends = tariff?.blockEnds(tariff.month(at)) ?? [];
  return nightByHand(of, bookedByHand(of), ends);
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
      }),
      tries(120),
    );
  });

  test('without corrections it holds the energy of every entry, of strips too', () => {
    fc.assert(
      fc.property(history, (of) => {
        const account = draw({ ...of, corrections: [] });
        expect(account.site.energy).toBe(of.entries.reduce((sum, { energy }) => sum + energy, 0));
      }),
      tries(120),
    );
  });

  test('with corrections it holds what is left and what was booked', () => {
    fc.assert(
      fc.property(plainHistory, (of) => {
        const booked = bookedByHand(of);
        expect(draw(of).site.energy).toBe(booked.reduce((sum, { energy }) => sum + energy, 0));
      }),
      tries(120),
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
      tries(120),
    );
  });

  test('each device costs what whole-number arithmetic and another calendar say', () => {
    fc.assert(
      fc.property(plainHistory, (of) => {
        const byHand = costsByHand(of, night(of));
        for (const [id, { cost }] of draw(of).devices) {
          expect(BigInt(cost)).toBe(byHand.get(id) ?? 0n);
        }
      }),
      tries(120),
    );
  });

  test('the site costs the exact sum to within half a micro-unit a device, day and rate', () => {
    fc.assert(
      fc.property(plainHistory, (of) => {
        const nightPrice = night(of);
        let exact = 0n;
        const roundings = new Set<string>();
        for (const { slot, device, energy } of bookedByHand(of)) {
          const { rate, price } = priceByHand(slot, of);
          const charged = rate === 'night' ? nightPrice : price;
          if (charged === undefined) continue;
          exact += BigInt(energy) * charged;
          roundings.add(`${device} ${dateOf(slot, of)} ${rate}`);
        }
        const off = BigInt(draw(of).site.cost) * 1_000_000n - exact;
        expect(off <= 500_000n * BigInt(roundings.size)).toBe(true);
        expect(-off <= 500_000n * BigInt(roundings.size)).toBe(true);
      }),
      tries(120),
    );
  });

  test('each tank has its fraction, to within a unit for each part that was shared', () => {
    fc.assert(
      fc.property(plainHistory, (of) => {
        const days = new Map<string, { energy: number; time: number }>();
        const parts = new Set<string>();
        let all = 0;
        for (const { slot, device, known, energy, covered } of bookedByHand(of)) {
          const key = `${device}|${dateOf(slot, of)}`;
          const day = days.get(key) ?? { energy: 0, time: 0 };
          days.set(key, { energy: day.energy + energy, time: day.time + covered });
          parts.add(`${key} ${known} ${priceByHand(slot, of).rate}`);
          all += Math.abs(energy);
        }
        const exact = new Map<string, number>();
        for (const [key, day] of days) {
          const [device, date] = key.split('|') as [string, string];
          for (const [tank, part] of Object.entries(fractionsByHand(of, device, date, day))) {
            exact.set(tank, (exact.get(tank) ?? 0) + day.energy * part);
          }
        }
        // Shares are taken to the millionth.
        for (const [tank, { energy }] of draw(of).tanks) {
          const off = Math.abs(energy - (exact.get(tank) ?? 0));
          expect(off).toBeLessThanOrEqual(parts.size + all * 4e-6);
        }
      }),
      tries(120),
    );
  });

  test('the tanks bear the standing charges of the days on which they are to, to the micro-unit', () => {
    fc.assert(
      fc.property(history, (of) => {
        const drawn = drawer(of);
        const shared = {
          from: of.calendar.dayOf(of.begins.timeOfUse as never).from,
          to: of.calendar.dayOf(of.begins.slots as never).from,
        };
        const { standing, tankStanding } = drawn(shared);
        const parts = [...drawn(of.month).tankStanding.values()];
        expect([...tankStanding.keys()]).not.toContain('upkeep');
        if (tankStanding.size === 0) return;
        expect(parts.reduce((sum, part) => sum + part, 0)).toBe(standing);
      }),
      tries(120),
    );
  });

  const sumOf = (of: History, cuts: readonly Instant[]): Account => {
    const drawn = drawer(of);
    const ends = [...new Set([of.month.from, ...cuts, of.month.to])].sort((a, b) => a - b);
    const parts = ends.slice(1).map((to, index) => drawn({ from: ends[index] as Instant, to }));
    return parts.reduce(addAccounts);
  };

  test('spans that meet at local midnights add up to the month, in every figure', () => {
    fc.assert(
      fc.property(history, fc.array(fc.nat({ max: 30 }), { maxLength: 4 }), (of, days) => {
        const midnights = days.map((day) => of.calendar.day(later(of.month.from, day * DAY)).from);
        expect(sumOf(of, midnights)).toEqual(draw(of));
      }),
      tries(120),
    );
  });

  test('so do all its days', () => {
    fc.assert(
      fc.property(history, (of) => {
        const days = of.calendar.dates(of.month).map((date) => of.calendar.dayOf(date).from);
        expect(sumOf(of, days)).toEqual(draw(of));
      }),
      tries(120),
    );
  });
});
