import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { BookStore, DevicePosting, Entry } from '../../src/books/index.ts';
import { type Instant, SLOT } from '../../src/units/index.ts';
import { always, posting, slotAt } from './postings.ts';

/** A store under test, and the way postings reach it. */
export interface OpenBooks {
  readonly store: BookStore;
  /** Books postings together. */
  post(postings: readonly DevicePosting[]): void;
  close(): void;
}

const { AMPULLA_LONG } = process.env;
const KNOWN = ['counted', 'integrated', 'bridged', 'reckoned'] as const;
const DEVICES = ['axolotl-chiller', 'frog-mister', 'moss-lamp', 'trough-heater'];

export const anyPosting: fc.Arbitrary<DevicePosting> = fc
  .record({
    slot: fc.integer({ min: 0, max: 5 }),
    device: fc.constantFrom(...DEVICES),
    known: fc.constantFrom(...KNOWN),
    energy: fc.integer({ min: -50, max: 50 }),
    spread: fc.integer({ min: -5, max: 5 }),
    covered: fc.integer({ min: -3, max: 3 }).map((minutes) => minutes * 60_000),
    drawing: fc.integer({ min: -3, max: 3 }).map((minutes) => minutes * 60_000),
  })
  .map(({ slot, device, known, energy, ...more }) => posting(slot, device, known, energy, more));

/** What a store must say after these postings, worked out the slow and plain way. */
export function booksOf(postings: readonly DevicePosting[]): Entry[] {
  const sums = new Map<string, { -readonly [Key in keyof Entry]: Entry[Key] }>();
  for (const one of postings) {
    const key = `${one.slot} ${one.device} ${one.known}`;
    const sum = sums.get(key);
    if (sum === undefined) {
      sums.set(key, { ...one });
      continue;
    }
    sum.energy = (sum.energy + one.energy) as Entry['energy'];
    sum.spread = (sum.spread + one.spread) as Entry['spread'];
    sum.covered = (sum.covered + one.covered) as Entry['covered'];
    sum.drawing = (sum.drawing + one.drawing) as Entry['drawing'];
  }
  const rank = (entry: Entry): string =>
    `${entry.slot} ${entry.device} ${KNOWN.indexOf(entry.known)}`;
  return [...sums.values()]
    .filter(({ energy, spread, covered, drawing }) => energy || spread || covered || drawing)
    .sort((a, b) => (rank(a) < rank(b) ? -1 : 1));
}

/** What every BookStore must do. Runs against a new, empty store each time. */
export function bookStoreContract(name: string, open: () => OpenBooks): void {
  describe(`${name} as a book store`, () => {
    let books: OpenBooks;
    beforeEach(() => {
      books = open();
    });
    afterEach(() => books.close());
    const all = (): Entry[] => [...books.store.entries(always)];

    it('has no entries and no extent while nothing is booked', () => {
      expect(all()).toEqual([]);
      expect(books.store.extent()).toBeUndefined();
    });

    it('adds up postings to the same slot, device and way of knowing', () => {
      const first = posting(0, 'moss-lamp', 'counted', 40, { spread: 4, drawing: 60_000 });
      books.post([first, first]);
      books.post([posting(0, 'moss-lamp', 'counted', 1)]);
      expect(all()).toEqual([
        posting(0, 'moss-lamp', 'counted', 81, { spread: 8, covered: 180_000, drawing: 120_000 }),
      ]);
    });

    it('keeps the ways of knowing apart', () => {
      books.post(KNOWN.map((known, index) => posting(0, 'moss-lamp', known, index + 1)));
      expect(all().map(({ known, energy }) => [known, energy])).toEqual([
        ['counted', 1],
        ['integrated', 2],
        ['bridged', 3],
        ['reckoned', 4],
      ]);
    });

    it('orders by slot, then by device id, whatever the order of booking', () => {
      books.post([posting(3, 'b', 'counted', 1), posting(1, 'c', 'counted', 1)]);
      books.post([posting(1, 'a', 'reckoned', 1), posting(2, 'b', 'counted', 1)]);
      books.post([posting(1, 'a', 'bridged', 1), posting(1, 'b', 'counted', 1)]);
      expect(all().map(({ slot, device, known }) => [slot, device, known])).toEqual([
        [slotAt(1), 'a', 'bridged'],
        [slotAt(1), 'a', 'reckoned'],
        [slotAt(1), 'b', 'counted'],
        [slotAt(1), 'c', 'counted'],
        [slotAt(2), 'b', 'counted'],
        [slotAt(3), 'b', 'counted'],
      ]);
    });

    it('gives the slots that start within a span, its end left out', () => {
      books.post([0, 1, 2, 3].map((slot) => posting(slot, 'moss-lamp', 'counted', slot + 1)));
      const energies = (from: number, to: number): number[] =>
        [...books.store.entries({ from: from as Instant, to: to as Instant })].map(
          ({ energy }) => energy,
        );
      expect(energies(slotAt(1), slotAt(3))).toEqual([2, 3]);
      expect(energies(slotAt(1) + 1, slotAt(3) + 1)).toEqual([3, 4]);
      expect(energies(slotAt(2), slotAt(2))).toEqual([]);
      expect(energies(slotAt(3), slotAt(1))).toEqual([]);
    });

    it('spans from the first slot to the end of the last, over years without entries', () => {
      books.post([
        posting(0, 'moss-lamp', 'counted', 1),
        posting(200_000, 'moss-lamp', 'counted', 2),
      ]);
      expect(books.store.extent()).toEqual({ from: slotAt(0), to: slotAt(200_001) });
      expect(all().map(({ energy }) => energy)).toEqual([1, 2]);
    });

    it('drops an entry that is withdrawn whole, and only then', () => {
      books.post([
        posting(0, 'moss-lamp', 'counted', 7),
        posting(4, 'moss-lamp', 'integrated', 50, { drawing: 60_000 }),
      ]);
      books.post([posting(4, 'moss-lamp', 'integrated', -50, { covered: -60_000 })]);
      expect(all()).toHaveLength(2);
      books.post([posting(4, 'moss-lamp', 'integrated', 0, { covered: 0, drawing: -60_000 })]);
      expect(all()).toEqual([posting(0, 'moss-lamp', 'counted', 7)]);
      expect(books.store.extent()).toEqual({ from: slotAt(0), to: slotAt(1) });
      books.post([posting(0, 'moss-lamp', 'counted', -7, { covered: -60_000 })]);
      expect(books.store.extent()).toBeUndefined();
    });

    it('keeps energies exact far beyond what a house can use', () => {
      const petawatts = Number.MAX_SAFE_INTEGER - 1;
      books.post([posting(0, 'moss-lamp', 'counted', petawatts)]);
      books.post([posting(0, 'moss-lamp', 'counted', 1)]);
      expect(all()[0]?.energy).toBe(Number.MAX_SAFE_INTEGER);
    });

    it('gives many slots of many devices in order, each once', () => {
      const devices = Array.from({ length: 90 }, (_, index) => `device-${index}`);
      const wanted: string[] = [];
      for (let slot = 0; slot < 60; slot += 1) {
        const postings = devices.map((device, index) =>
          posting(slot, device, 'counted', index + 1),
        );
        books.post(postings.toReversed());
        wanted.push(...devices.toSorted().map((device) => `${slotAt(slot)} ${device}`));
      }
      expect(all().map(({ slot, device }) => `${slot} ${device}`)).toEqual(wanted);
    });

    it('takes postings in any grouping and ends with the same books', {
      timeout: 600_000,
    }, () => {
      let window = 0;
      fc.assert(
        fc.property(
          fc.array(fc.array(anyPosting, { maxLength: 12 }), { maxLength: 8 }),
          (drawn) => {
            // One store for all runs, each in slots of its own: opening a file takes its time.
            window += 1;
            const shift = window * 1_000 * SLOT;
            const groups = drawn.map((group) =>
              group.map((one) => ({ ...one, slot: (one.slot + shift) as Instant })),
            );
            for (const group of groups) books.post(group);
            const here = {
              from: (slotAt(0) + shift) as Instant,
              to: (slotAt(1_000) + shift) as Instant,
            };
            expect([...books.store.entries(here)]).toEqual(booksOf(groups.flat()));
          },
        ),
        { numRuns: AMPULLA_LONG ? 2_000 : 40 },
      );
    });
  });
}
