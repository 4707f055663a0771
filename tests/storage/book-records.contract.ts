import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { BookStore, DevicePosting, HouseInterval } from '../../src/books/index.ts';
import type { NewCorrection } from '../../src/storage/index.ts';
import type { SlotPrice } from '../../src/tariff/index.ts';
import { later, type Span } from '../../src/units/index.ts';
import { posting, slotAt } from './postings.ts';
import { correction, interval, price, slots } from './records.ts';

/** A store under test, and the ways by which things reach it. */
export interface OpenRecords {
  readonly store: BookStore;
  post(postings: readonly DevicePosting[]): void;
  correct(correction: NewCorrection): void;
  publish(prices: readonly SlotPrice[]): void;
  meterHouse(intervals: readonly HouseInterval[]): void;
  close(): void;
}

const DAY_SLOTS = 96;
const day = (number: number): Span => slots(number * DAY_SLOTS, (number + 1) * DAY_SLOTS);

/** What every BookStore must do with all that is not entries. */
export function bookRecordsContract(name: string, open: () => OpenRecords): void {
  describe(`${name} as a store of what lies beside the entries`, () => {
    let books: OpenRecords;
    beforeEach(() => {
      books = open();
    });
    afterEach(() => books.close());

    /** As an account book does: ask, read, keep. */
    function draw(span: Span, key: string, text: string): void {
      expect(books.store.sheets(span.from, key)).toBeUndefined();
      for (const _ of books.store.entries(span));
      books.store.keepSheets(span, key, text);
    }

    it('has none of it while nothing was entered', () => {
      expect(books.store.corrections(day(0))).toEqual([]);
      expect(books.store.slotPrices('marsh-exchange', day(0))).toEqual([]);
      expect(books.store.house(day(0))).toEqual([]);
      expect(books.store.sheets(day(0).from, 'a')).toBeUndefined();
    });

    it('gives the corrections that touch a span, in the order they were made', () => {
      books.correct(correction(8, 12, { reason: 'first' }));
      books.correct(correction(0, 9, { reason: 'second' }));
      books.correct(correction(12, 16, { reason: 'beyond' }));
      const reasons = (span: Span) => books.store.corrections(span).map(({ reason }) => reason);
      expect(reasons(slots(8, 12))).toEqual(['first', 'second']);
      expect(reasons(slots(9, 12))).toEqual(['first']);
      expect(reasons(slots(0, 20))).toEqual(['first', 'second', 'beyond']);
      expect(reasons(slots(16, 20))).toEqual([]);
    });

    it('gives the prices of one series that touch a span, whole and by time', () => {
      books.publish([price(4, 4, 310_000), price(0, 4, 290_000), price(8, 4, -20_000)]);
      books.publish([price(4, 4, 99, 'other-exchange')]);
      expect(books.store.slotPrices('marsh-exchange', slots(3, 5))).toEqual([
        price(0, 4, 290_000),
        price(4, 4, 310_000),
      ]);
      expect(books.store.slotPrices('marsh-exchange', slots(8, 9))).toEqual([price(8, 4, -20_000)]);
      expect(books.store.slotPrices('no-such-exchange', slots(0, 9))).toEqual([]);
    });

    it("gives the house's intervals that touch a span, whole", () => {
      const all = [interval(0, 500), interval(4, 600), interval(8, 700)];
      books.meterHouse(all);
      expect(books.store.house(slots(4, 8))).toEqual([all[1]]);
      expect(books.store.house(slots(7, 9))).toEqual([all[1], all[2]]);
      expect(books.store.house(slots(12, 20))).toEqual([]);
    });

    it('counts its edition up with corrections, prices and intervals only', () => {
      const seen = [books.store.edition()];
      const look = (): void => void seen.push(books.store.edition());
      books.correct(correction(0, 4));
      look();
      books.publish([price(0, 4, 310_000)]);
      look();
      books.meterHouse([interval(0, 500)]);
      look();
      expect(seen).toEqual([...new Set(seen)].sort((a, b) => a - b));
      books.post([posting(0, 'moss-lamp', 'counted', 5)]);
      draw(day(1), 'a', 'drawn');
      expect(books.store.edition()).toBe(seen.at(-1));
    });

    it('keeps the sheets of a day under their key', () => {
      const text = JSON.stringify({ reed: 'øre 水', energy: [1, 2, 3] });
      draw(day(1), 'a', text);
      draw(day(2), 'a', 'another day');
      expect(books.store.sheets(day(1).from, 'a')).toBe(text);
      expect(books.store.sheets(day(1).from, 'b')).toBeUndefined();
      expect(books.store.sheets(day(3).from, 'a')).toBeUndefined();
    });

    const changes: readonly (readonly [string, () => void])[] = [
      ['an entry', () => books.post([posting(DAY_SLOTS * 2 - 1, 'moss-lamp', 'counted', 5)])],
      ['a correction', () => books.correct(correction(DAY_SLOTS + 40, DAY_SLOTS + 44))],
      ['a price', () => books.publish([price(DAY_SLOTS, 4, 310_000)])],
    ];
    it.each(changes)(
      'lets go of the sheets of a day in which %s changes, and of no other',
      (_, change) => {
        for (const number of [0, 1, 2]) draw(day(number), 'a', `day ${number}`);
        draw(day(1), 'b', 'day 1');
        change();
        expect(books.store.sheets(day(0).from, 'a')).toBe('day 0');
        expect(books.store.sheets(day(1).from, 'a')).toBeUndefined();
        expect(books.store.sheets(day(1).from, 'b')).toBeUndefined();
        expect(books.store.sheets(day(2).from, 'a')).toBe('day 2');
      },
    );

    it('keeps sheets while something is posted to the day after', () => {
      draw(day(0), 'a', 'day 0');
      books.post([posting(DAY_SLOTS, 'moss-lamp', 'counted', 5)]);
      books.correct(correction(DAY_SLOTS, DAY_SLOTS + 1));
      books.publish([{ ...price(DAY_SLOTS, 4, 1), to: later(slotAt(DAY_SLOTS), 1) }]);
      expect(books.store.sheets(day(0).from, 'a')).toBe('day 0');
    });
  });
}
