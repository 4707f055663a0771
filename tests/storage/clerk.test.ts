import { copyFileSync, existsSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import {
  type Clerk,
  emptyBatch,
  openClerk,
  openStore,
  openStoreReader,
  type Store,
} from '../../src/storage/index.ts';
import { later, type MilliwattHours } from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import { always, posting, slotAt } from './postings.ts';
import { bill, correction, interval, noon, price, slots } from './records.ts';
import { faultOf, scratchFolder } from './scratch.ts';

const LAYOUT_1 = fileURLToPath(new URL('fixtures/layout-1.sqlite', import.meta.url));

let folder: ReturnType<typeof scratchFolder>;
let file: string;
let store: Store;
let clerk: Clerk;
beforeEach(() => {
  folder = scratchFolder();
  file = join(folder.path, 'ampulla.db');
  store = openStore({ file });
  clerk = openClerk({ file });
});
afterEach(() => {
  clerk.close();
  store.close();
  folder.remove();
});

describe('opening for a command', () => {
  it('works beside the daemon and without it', () => {
    const number = clerk.addCorrection(correction(0, 4));
    clerk.close();
    store.close();
    clerk = openClerk({ file });
    expect(clerk.allCorrections().map((one) => one.number)).toEqual([number]);
    clerk.addCorrection(correction(4, 8));
    store = openStore({ file });
    expect(store.allCorrections()).toHaveLength(2);
  });

  it('makes no store, and updates none', () => {
    const nowhere = join(folder.path, 'nowhere.db');
    expect(faultOf(() => openClerk({ file: nowhere })).code).toBe('AMP_STORE_MISSING');
    expect(existsSync(nowhere)).toBe(false);
    const old = join(folder.path, 'old.db');
    copyFileSync(LAYOUT_1, old);
    const fault = faultOf(() => openClerk({ file: old }));
    expect(fault.code).toBe('AMP_STORE_TOO_OLD');
    expect(fault.remedy).toContain('daemon');
  });

  it('follows what the daemon books, of devices that are new to it too, over many commits', () => {
    for (let round = 1; round <= 150; round += 1) {
      const device = `device-${round % 5}`;
      store.commit({ ...emptyBatch, postings: [posting(round % 7, device, 'counted', round)] });
      if (round % 10 === 0) expect([...clerk.entries(always)]).toEqual([...store.entries(always)]);
    }
    const sum = [...clerk.entries(always)].reduce((total, { energy }) => total + energy, 0);
    expect(sum).toBe((150 * 151) / 2);
  });
});

describe('corrections and bills', () => {
  it('are numbered from 1, and stay on record when they are withdrawn', () => {
    const booked = correction(4, 8, { kind: 'book', energy: 250_000 as MilliwattHours });
    expect(clerk.addCorrection(correction(0, 4))).toBe(1);
    expect(clerk.addCorrection(booked)).toBe(2);
    const withdrawn = { at: slotAt(600), reason: 'it was the right plug after all' };
    clerk.withdrawCorrection(1, withdrawn);
    expect(store.corrections(always)).toEqual([{ ...booked, number: 2, withdrawn: undefined }]);
    expect(store.allCorrections()[0]).toEqual({ ...correction(0, 4), number: 1, withdrawn });

    expect(clerk.addBill(bill())).toBe(1);
    expect(clerk.addBill(bill({ energy: undefined, note: 'by phone' }))).toBe(2);
    clerk.withdrawBill(2, withdrawn);
    expect(store.bills()).toEqual([
      { ...bill(), number: 1, withdrawn: undefined },
      { ...bill({ energy: undefined, note: 'by phone' }), number: 2, withdrawn },
    ]);
  });

  it('cannot be withdrawn twice, nor when there are none', () => {
    clerk.addCorrection(correction(0, 4));
    clerk.addBill(bill());
    const edition = clerk.edition();
    for (const withdraw of [clerk.withdrawCorrection, clerk.withdrawBill]) {
      expect(faultOf(() => withdraw(7, { at: noon, reason: 'x' })).code).toBe(
        'AMP_STORE_NO_RECORD',
      );
    }
    expect(clerk.edition()).toBe(edition);
    clerk.withdrawBill(1, { at: noon, reason: 'a typing mistake' });
    const fault = faultOf(() => clerk.withdrawBill(1, { at: slotAt(9), reason: 'again' }));
    expect(fault.code).toBe('AMP_STORE_WITHDRAWN');
    expect(fault.message).toContain('a typing mistake');
    expect(store.bills()[0]?.withdrawn?.at).toBe(noon);
  });

  it('are refused when they make no sense', () => {
    const senseless = [
      () => clerk.addCorrection(correction(4, 4)),
      () =>
        clerk.addCorrection({
          ...correction(0, 4),
          span: { ...slots(0, 4), to: later(slotAt(4), 1) },
        }),
      () => clerk.addCorrection(correction(0, 4, { energy: 5 as MilliwattHours })),
      () => clerk.addCorrection(correction(0, 4, { reason: ' ' })),
      () => clerk.addBill({ ...bill(), last: '2025-12-31' as ReturnType<typeof bill>['last'] }),
      () => clerk.addSlotPrices([price(0, 0, 5)], noon),
      () => clerk.addSlotPrices([price(0, 4, 0.5)], noon),
      () => clerk.addHouse([interval(0, Number.NaN)], 'meter.csv', noon),
    ];
    for (const add of senseless) expect(faultOf(add).code).toBe('AMP_STORE_RECORD');
    expect(clerk.allCorrections()).toEqual([]);
    expect(clerk.bills()).toEqual([]);
  });
});

describe('prices by the slot', () => {
  const prices = (): string[] =>
    store
      .slotPrices('marsh-exchange', slots(-100, 100))
      .map(
        ({ from, to, price: micro }) =>
          `${(from - noon) / 900_000}–${(to - noon) / 900_000}: ${micro}`,
      );

  it('count as added, changed or the same, and a change leaves the former price on record', () => {
    const all = [price(0, 4, 310_000), price(4, 4, 290_000)];
    expect(clerk.addSlotPrices(all, noon)).toEqual({ added: 2, changed: 0, same: 0 });
    expect(store.addSlotPrices(all, noon)).toEqual({ added: 0, changed: 0, same: 2 });
    const next = [price(4, 4, -15_000), price(8, 4, 280_000)];
    expect(store.addSlotPrices(next, slotAt(9))).toEqual({ added: 1, changed: 1, same: 0 });
    expect(prices()).toEqual(['0–4: 310000', '4–8: -15000', '8–12: 280000']);
    expect(clerk.superseded()).toEqual([
      {
        what: 'slot-price',
        id: 'marsh-exchange',
        span: slots(4, 8),
        former: { price_micro_per_kwh: 290_000 },
        at: slotAt(9),
      },
    ]);
  });

  it('of quarter-hours hold over the price of their hour, whichever came first', () => {
    const hour = price(0, 4, 400);
    const quarters = [price(1, 1, 100), price(2, 1, 200)];
    clerk.addSlotPrices([hour], noon);
    clerk.addSlotPrices(quarters, noon);
    const wanted = ['0–1: 400', '1–2: 100', '2–3: 200', '3–4: 400'];
    expect(prices()).toEqual(wanted);
    expect(clerk.addSlotPrices([hour], noon)).toEqual({ added: 0, changed: 0, same: 1 });
    expect(prices()).toEqual(wanted);
    // Also where the quarter itself is not asked for.
    expect(store.slotPrices('marsh-exchange', slots(0, 1))).toEqual([price(0, 1, 400)]);
  });

  it('give the same answer in any order of arrival: the shortest that holds the moment', {
    timeout: 600_000,
  }, () => {
    let series = 0;
    const anyPrice = fc.record({
      slot: fc.integer({ min: 0, max: 11 }),
      length: fc.constantFrom(1, 1, 2, 4, 4, 12),
      micro: fc.integer({ min: -9, max: 9 }),
    });
    fc.assert(
      fc.property(
        fc.uniqueArray(anyPrice, {
          maxLength: 12,
          selector: ({ slot, length }) => `${slot} ${length}`,
        }),
        fc.integer({ min: 0, max: 14 }),
        fc.integer({ min: 1, max: 14 }),
        (drawn, first, length) => {
          series += 1;
          const name = `series-${series}`;
          clerk.together(() => {
            for (const { slot, length, micro } of drawn) {
              clerk.addSlotPrices([price(slot, length, micro, name)], noon);
            }
            const span = slots(first, first + length);
            const pieces = clerk.slotPrices(name, span);
            for (const [index, piece] of pieces.entries()) {
              expect(piece.from).toBeLessThan(piece.to);
              expect(piece.from).toBeGreaterThanOrEqual(pieces[index - 1]?.to ?? 0);
              expect(piece.from < span.to && piece.to > span.from).toBe(true);
            }
            const whole = clerk.slotPrices(name, slots(-50, 50));
            for (let slot = first; slot < first + length; slot += 1) {
              const at = slotAt(slot);
              const holding = drawn
                .filter((one) => one.slot <= slot && one.slot + one.length > slot)
                .sort((a, b) => a.length - b.length || b.slot - a.slot)[0];
              const found = pieces.find(({ from, to }) => from <= at && to > at);
              expect(found?.price).toBe(holding?.micro);
              expect(whole.find(({ from, to }) => from <= at && to > at)).toEqual(found);
            }
          });
        },
      ),
      runs(),
    );
  });

  it('are the same after they were added twice as after once, all at once or one by one', {
    timeout: 600_000,
  }, () => {
    let series = 0;
    const anyPrices = fc.array(
      fc.record({
        slot: fc.integer({ min: 0, max: 8 }),
        length: fc.constantFrom(1, 4),
        micro: fc.integer({ min: -3, max: 3 }),
      }),
      { maxLength: 10 },
    );
    fc.assert(
      fc.property(anyPrices, (drawn) => {
        series += 1;
        const name = `series-${series}`;
        const batch = drawn.map(({ slot, length, micro }) => price(slot, length, micro, name));
        clerk.together(() => {
          const first = clerk.addSlotPrices(batch, noon);
          expect(first.added + first.changed + first.same).toBe(batch.length);
          const once = clerk.slotPrices(name, slots(-9, 99));
          const last = new Map(batch.map((one) => [`${one.from} ${one.to}`, one]));
          expect(clerk.addSlotPrices([...last.values()], noon)).toEqual({
            added: 0,
            changed: 0,
            same: last.size,
          });
          for (const one of last.values()) clerk.addSlotPrices([one], noon);
          expect(clerk.slotPrices(name, slots(-9, 99))).toEqual(once);
        });
      }),
      runs(),
    );
  });
});

describe("the house's intervals", () => {
  it('count as added, changed or the same, and a change leaves the former values on record', () => {
    const estimated = interval(4, 600_000, { quality: 'estimated' });
    const first = [interval(0, 500_000), estimated];
    expect(clerk.addHouse(first, 'march.xml', noon)).toEqual({ added: 2, changed: 0, same: 0 });
    const read = interval(4, 640_000, { cost: 130_000 as never });
    const second = [interval(0, 500_000), read, interval(8, 1)];
    expect(clerk.addHouse(second, 'april.xml', slotAt(9))).toEqual({
      added: 1,
      changed: 1,
      same: 1,
    });
    expect(store.house(always)).toEqual(second);
    expect(store.superseded()).toEqual([
      {
        what: 'house-interval',
        id: 'mains',
        span: { from: read.from, to: read.to },
        former: {
          energy_mwh: 600_000,
          cost_micro: null,
          quality: 'estimated',
          source: 'march.xml',
        },
        at: slotAt(9),
      },
    ]);
  });

  it('come by time, then meter, however they were added', () => {
    const of = (slot: number, meter: string) => interval(slot, 1, { meter });
    clerk.addHouse([of(4, 'barn'), of(0, 'mains'), of(0, 'barn'), of(4, 'annex')], 'a.csv', noon);
    expect(store.house(always).map(({ from, meter }) => [from, meter])).toEqual([
      [slotAt(0), 'barn'],
      [slotAt(0), 'mains'],
      [slotAt(4), 'annex'],
      [slotAt(4), 'barn'],
    ]);
  });

  it('may not lie over each other with other bounds: the import is refused whole, naming both', () => {
    clerk.addHouse([interval(0, 500), interval(4, 600)], 'hours.csv', noon);
    const edition = clerk.edition();
    const lying = [
      { ...interval(0, 900), to: slotAt(8) },
      { ...interval(0, 500), to: slotAt(1) },
      { ...interval(5, 100), to: slotAt(6) },
      { ...interval(-2, 100), to: slotAt(1) },
      { ...interval(-9, 100), to: slotAt(20) },
    ];
    for (const one of lying) {
      const fault = faultOf(() => clerk.addHouse([interval(40, 7), one], 'days.csv', noon));
      expect(fault.code).toBe('AMP_STORE_HOUSE_OVERLAP');
      expect(fault.message).toContain('hours.csv');
      expect(fault.message).toContain('days.csv');
      expect(fault.message).toContain(new Date(one.to).toISOString());
    }
    const within = [interval(40, 7), { ...interval(40, 7), to: slotAt(41) }];
    expect(faultOf(() => clerk.addHouse(within, 'odd.csv', noon)).code).toBe(
      'AMP_STORE_HOUSE_OVERLAP',
    );
    expect(store.house(always)).toEqual([interval(0, 500), interval(4, 600)]);
    expect(store.edition()).toBe(edition);
    clerk.addHouse([interval(2, 5, { meter: 'barn' })], 'barn.csv', noon);
  });

  it('are the same after they were added twice as after once', { timeout: 600_000 }, () => {
    let windows = 0;
    const anyHours = fc.uniqueArray(
      fc.record({ slot: fc.integer({ min: 0, max: 30 }), energy: fc.integer({ min: 0, max: 9 }) }),
      { selector: ({ slot }) => slot, maxLength: 12 },
    );
    fc.assert(
      fc.property(anyHours, anyHours, (before, after) => {
        windows += 1;
        const first = windows * 1_000;
        const hours = (drawn: typeof before) =>
          drawn.map(({ slot, energy }) => interval(first + slot * 4, energy));
        clerk.together(() => {
          clerk.addHouse(hours(before), 'before.csv', noon);
          const taken = clerk.addHouse(hours(after), 'after.csv', noon);
          expect(taken.added + taken.changed + taken.same).toBe(after.length);
          const mine = () => clerk.house(slots(first, first + 1_000));
          const once = mine();
          const expected = new Map(hours([...before, ...after]).map((one) => [one.from, one]));
          expect(once).toEqual([...expected.values()].sort((a, b) => a.from - b.from));
          expect(clerk.addHouse(hours(after), 'after.csv', noon).same).toBe(after.length);
          expect(mine()).toEqual(once);
        });
      }),
      runs(),
    );
  });
});

describe('an import', () => {
  const imported = {
    what: 'house' as const,
    id: 'mains',
    file: 'march.xml',
    sha256: 'a7'.repeat(32),
    added: 1,
    changed: 0,
    same: 0,
    at: noon,
  };

  it('is kept together with its record, or not at all', () => {
    const importing = (sha256: string) =>
      clerk.together(() => {
        clerk.addHouse([interval(0, 500)], 'march.xml', noon);
        return clerk.addImport({ ...imported, sha256 });
      });
    expect(faultOf(() => importing('not a digest')).code).toBe('AMP_STORE_RECORD');
    expect(store.house(always)).toEqual([]);
    expect(store.edition()).toBe(0);
    expect(importing(imported.sha256)).toBe(1);
    expect(store.house(always)).toHaveLength(1);
    expect(store.imports()).toEqual([{ ...imported, number: 1 }]);
  });

  it('is listed newest first, as re-pricings are', () => {
    clerk.addImport(imported);
    clerk.addImport({ ...imported, what: 'slot-prices', id: 'marsh-exchange' });
    expect(store.imports().map(({ number, what }) => [number, what])).toEqual([
      [2, 'slot-prices'],
      [1, 'house'],
    ]);
    const repricing = { at: noon, span: slots(0, 96), summary: { cost: { before: 5, after: 6 } } };
    store.commit({ ...emptyBatch, repricings: [repricing] });
    store.commit({ ...emptyBatch, repricings: [{ ...repricing, summary: {} }] });
    expect(store.repricings()).toEqual([
      { ...repricing, number: 2, summary: {} },
      { ...repricing, number: 1 },
    ]);
  });
});

describe('a reader', () => {
  it('sees all that commands wrote, and keeps nothing itself', () => {
    clerk.addCorrection(correction(0, 4));
    clerk.addSlotPrices([price(0, 4, 5)], noon);
    const reader = openStoreReader({ file });
    expect(reader.corrections(always)).toHaveLength(1);
    expect(reader.slotPrices('marsh-exchange', always)).toHaveLength(1);
    expect(reader.sheets(noon, 'a')).toBeUndefined();
    expect([...reader.entries(slots(0, 96))]).toEqual([]);
    reader.keepSheets(slots(0, 96), 'a', 'drawn');
    reader.close();
    expect(store.sheets(noon, 'a')).toBeUndefined();
  });
});
