import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  type AccountBasis,
  beginRepricing,
  createAccountBook,
  type Repricing,
  type RepricingSummary,
} from '../../src/books/index.ts';
import type { TariffConfig } from '../../src/tariff/config.ts';
import { compileTariffs } from '../../src/tariff/index.ts';
import { Calendar, DAY, HOUR, type LocalDate, later, type Span } from '../../src/units/index.ts';
import { flat, lanternHollow, tariffOf } from '../tariff/tariffs.ts';
import { basisOf, device, entry, memoryStore } from './fish-room.ts';
import { basisOf as basisOfHistory, type History, history, storeOf, tries } from './histories.ts';

const calendar = new Calendar('America/Winnipeg');
const day = (date: string): Span => calendar.dayOf(date as LocalDate);

const basis = (
  tariffs: Record<string, TariffConfig>,
  pump: Parameters<typeof device>[2] = { tank: 'newt' },
): AccountBasis =>
  basisOf(calendar, compileTariffs(tariffs, calendar, 'CAD'), {
    pump: device('pump', 40, { plug: 'plug-1', ...pump }),
    lamp: device('light', 40, { plug: 'plug-2', tank: 'reed' }),
  });

/** The last two days of April and the first three of May; a kWh for the pump each noon. */
const dates = ['2026-04-29', '2026-04-30', '2026-05-01', '2026-05-02', '2026-05-03'];
function filled() {
  const store = memoryStore();
  for (const date of dates) {
    const noon = later(day(date).from, 12 * HOUR);
    store.book(entry(noon, 'pump', 1_000_000), entry(noon, 'lamp', 500_000));
  }
  return store;
}
const now = later(day('2026-05-03').from, 18 * HOUR);

function finish(job: Repricing): RepricingSummary {
  while (job.step());
  return job.summary();
}

describe('a price that changes from a past date on', () => {
  const before = basis({ old: flat(0.2) });
  const after = basis({ old: flat(0.2), new: flat(0.3, '2026-04-30') });

  test('touches the days from then on, the one under way among them', () => {
    const job = beginRepricing(filled(), before, after, now);
    expect(job.days).toEqual(dates.slice(1).map(day));
  });

  test('is told for the site, each tank, device and month', () => {
    const summary = finish(beginRepricing(filled(), before, after, now));
    expect(summary.span).toEqual({ from: day('2026-04-30').from, to: day('2026-05-03').to });
    expect(summary.site).toEqual({
      before: { energy: 6_000_000, cost: 1_200_000, unpriced: 0 },
      after: { energy: 6_000_000, cost: 1_800_000, unpriced: 0 },
    });
    expect(summary.devices.get('lamp')).toMatchObject({
      before: { cost: 400_000 },
      after: { cost: 600_000 },
    });
    expect(summary.tanks.get('newt')).toMatchObject({
      before: { cost: 800_000 },
      after: { cost: 1_200_000 },
    });
    expect(
      [...summary.months].map(([month, { before, after }]) => [month, before.cost, after.cost]),
    ).toEqual([
      ['2026-04', 300_000, 450_000],
      ['2026-05', 900_000, 1_350_000],
    ]);
    expect(summary.provisional).toBe(false);
  });

  test('shows how far it has come', () => {
    const job = beginRepricing(filled(), before, after, now);
    expect(job.progress).toBe(0);
    const seen: number[] = [];
    while (job.step()) seen.push(job.progress);
    expect(seen).toEqual([...seen].sort((a, b) => a - b));
    expect(seen.length).toBeGreaterThan(3);
    expect(job.progress).toBe(1);
    expect(job.step()).toBe(false);
  });

  test('changes nothing in force', () => {
    const store = filled();
    const book = createAccountBook(store, before);
    const month = calendar.month(now);
    const inForce = book.account(month, now);
    finish(beginRepricing(store, before, after, now));
    expect(book.account(month, now)).toEqual(inForce);
  });
});

describe('what is touched', () => {
  const none = (before: AccountBasis, after: AccountBasis) =>
    beginRepricing(filled(), before, after, now);

  test('is nothing where nothing changes, and then it is done', () => {
    const job = none(basis({ old: flat(0.2) }), basis({ old: flat(0.2) }));
    expect([job.days, job.progress, job.step()]).toEqual([[], 1, false]);
    expect(job.summary()).toMatchObject({ span: undefined, site: { before: { energy: 0 } } });
  });

  test('is nothing in empty books', () => {
    const [before, after] = [basis({ old: flat(0.2) }), basis({ old: flat(0.3) })];
    expect(beginRepricing(memoryStore(), before, after, now).days).toEqual([]);
  });

  test('are the days on which a device is another’s', () => {
    const moved = basis(
      { old: flat(0.2) },
      { tank: 'newt', moved: [{ on: '2026-05-02', tank: 'heron' }] },
    );
    const job = none(basis({ old: flat(0.2) }), moved);
    expect(job.days).toEqual(dates.slice(3).map(day));
    const { site, tanks } = finish(job);
    expect(site.before).toEqual(site.after);
    expect(tanks.get('newt')).toMatchObject({ before: { cost: 400_000 }, after: { cost: 0 } });
    expect(tanks.get('heron')).toMatchObject({ before: { cost: 0 }, after: { cost: 400_000 } });
  });

  test('are the days of months whose standing charge changes', () => {
    const standing = (amount: number) =>
      basis({
        old: tariffOf(
          { kind: 'flat', price_per_kwh: 0.2 },
          { charges: [{ name: 'Basic charge', per_month: amount }] },
        ),
      });
    const job = none(standing(3), standing(6));
    expect(job.days).toHaveLength(5);
    // Half of 29 April, 30 April, 1 and 2 May, three quarters of 3 May.
    expect(finish(job).standing).toEqual({
      before: 50_000 + 100_000 + 2 * 96_775 + 72_581,
      after: 100_000 + 200_000 + 2 * 193_549 + 145_162,
    });
  });

  test('is every day of a block tariff when the rest of the house is stated anew', () => {
    const blocks = basis({
      old: tariffOf({
        kind: 'flat',
        prices_per_kwh: [0.1, 0.2],
        blocks: { ends_kwh: [100], priced_at: 'average' },
      }),
    });
    const stated = { ...blocks, otherPerMonth: 300_000_000 as never };
    const job = none(blocks, stated);
    expect(job.days).toHaveLength(5);
    const summary = finish(job);
    expect(summary.site.before.cost).toBeLessThan(summary.site.after.cost);
    expect(summary.provisional).toBe(true);
  });
});

describe('a job that was cut short', () => {
  const before = basis({ old: flat(0.2) });
  const after = basis({ lantern: lanternHollow });

  test('goes on where it was: no entries of finished days are read again', () => {
    const store = filled();
    const job = beginRepricing(store, before, after, now);
    for (let step = 0; step < 6; step += 1) job.step(); // three days
    store.read.length = 0;
    finish(beginRepricing(store, before, after, now));
    expect(store.read.map(({ from }) => from)).toEqual(
      dates.slice(3).map((date) => day(date).from),
    );
  });

  test('may be told by the store that it cannot be read, at any moment, and counts nothing twice', () => {
    const whole = finish(beginRepricing(filled(), before, after, now));
    for (let failing = 1; failing < 60; failing += 1) {
      const store = filled();
      let left = failing;
      const fails = <T>(work: T): T => {
        left -= 1;
        if (left === 0) throw new Error('the disk is away for a moment');
        return work;
      };
      const job = beginRepricing(
        {
          ...store,
          corrections: (span) => fails(store.corrections(span)),
          sheets: (day, key) => fails(store.sheets(day, key)),
        },
        before,
        after,
        now,
      );
      const step = (): boolean => {
        try {
          return job.step();
        } catch {
          return true;
        }
      };
      while (step());
      expect(job.summary()).toEqual(whole);
    }
  });

  test('leaves sheets with which the new basis needs no entries of days that are over', () => {
    const store = filled();
    finish(beginRepricing(store, before, after, now));
    store.read.length = 0;
    const book = createAccountBook(store, before);
    book.reconfigure(after);
    const past = { from: day('2026-04-29').from, to: day('2026-05-02').to };
    expect(book.account(past, now).site.energy).toBe(6_000_000);
    expect(store.read).toEqual([]);
  });
});

/** The same history under other prices, hours, shares and divisions. */
const other = (of: History, second: History): History => ({
  ...of,
  devices: second.devices,
  tanks: second.tanks,
  prices: second.prices,
  ends: second.ends,
  otherPerMonth: second.otherPerMonth,
  standing: second.standing,
});

test('whatever changes, and wherever it is cut short, it says what the two account books say', () => {
  fc.assert(
    fc.property(
      history,
      history,
      fc.nat({ max: 80 }),
      fc.nat({ max: 32 }),
      (of, second, cut, passed) => {
        const [before, after] = [basisOfHistory(of), basisOfHistory(other(of, second))];
        const store = storeOf(of);
        const now = later(of.month.from, passed * DAY);
        const first = beginRepricing(store, before, after, now);
        for (let step = 0; step < cut; step += 1) first.step();
        const job = beginRepricing(store, before, after, now);
        const summary = finish(job);

        const sum = (on: AccountBasis) => {
          const book = createAccountBook(storeOf(of, { keeps: false }), on);
          return job.days.reduce(
            (all, day) => {
              const { site, standing, tanks } = book.account(day, now);
              for (const [id, { cost }] of tanks) all.tanks[id] = (all.tanks[id] ?? 0) + cost;
              return {
                tanks: all.tanks,
                energy: all.energy + site.energy,
                cost: all.cost + site.cost,
                unpriced: all.unpriced + site.unpriced,
                standing: all.standing + standing,
              };
            },
            { energy: 0, cost: 0, unpriced: 0, standing: 0, tanks: {} as Record<string, number> },
          );
        };
        for (const [side, on] of [
          ['before', before],
          ['after', after],
        ] as const) {
          const { tanks, standing, ...amounts } = sum(on);
          expect(summary.site[side]).toEqual(amounts);
          expect(summary.standing[side]).toBe(standing);
          for (const [id, cost] of Object.entries(tanks)) {
            expect(summary.tanks.get(id)?.[side].cost).toBe(cost);
          }
        }

        store.read.length = 0;
        const over = job.days.filter(({ to }) => to <= now);
        const book = createAccountBook(store, after);
        for (const day of over) book.account(day, now);
        const asked = new Set(store.read.map(({ from }) => from));
        const withEntries = over.filter((day) =>
          of.entries.some(({ slot }) => slot >= day.from && slot < day.to),
        );
        for (const { from } of withEntries) expect(asked.has(from)).toBe(false);
      },
    ),
    tries(60),
  );
});
