import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { BookStore } from '../../src/books/index.ts';
import { connect } from '../../src/storage/connect.ts';
import {
  type Clerk,
  emptyBatch,
  openClerk,
  openStore,
  type Store,
} from '../../src/storage/index.ts';
import { migrations } from '../../src/storage/migrations/index.ts';
import { storeOver } from '../../src/storage/store.ts';
import type { Span } from '../../src/units/index.ts';
import { posting } from './postings.ts';
import { correction, slots } from './records.ts';
import { scratchFolder } from './scratch.ts';

let folder: ReturnType<typeof scratchFolder>;
let store: Store;
let clerk: Clerk;
beforeEach(() => {
  folder = scratchFolder();
  const file = join(folder.path, 'ampulla.db');
  store = openStore({ file });
  clerk = openClerk({ file });
});
afterEach(() => {
  clerk.close();
  store.close();
  folder.remove();
});

const day = slots(0, 96);
const dayAfter = slots(96, 192);
const post = (slot: number): void =>
  store.commit({ ...emptyBatch, postings: [posting(slot, 'moss-lamp', 'counted', 5)] });

/** Asks, reads, lets something happen, keeps; and says whether the sheets were kept. */
function drawn(by: BookStore, meanwhile: () => void = () => {}, span: Span = day): boolean {
  expect(by.sheets(span.from, 'a')).toBeUndefined();
  for (const _ of by.entries(span));
  meanwhile();
  by.keepSheets(span, 'a', 'drawn');
  return store.sheets(span.from, 'a') === 'drawn';
}

describe('sheets', () => {
  it('are not kept when the daemon posted to the day while a command drew them', () => {
    expect(drawn(clerk, () => post(3))).toBe(false);
    expect(drawn(clerk)).toBe(true);
  });

  it('are not kept when a command corrected the day while the daemon drew them', () => {
    expect(drawn(store, () => clerk.addCorrection(correction(3, 4)))).toBe(false);
    expect(drawn(store)).toBe(true);
  });

  it('are not kept when the daemon itself posted to the day, where it waited meanwhile', () => {
    expect(drawn(store, () => post(3))).toBe(false);
  });

  it('are kept while the daemon posts to a later day', () => {
    expect(drawn(store, () => post(200))).toBe(true);
  });

  it('are not kept unasked, nor twice, nor from entries that were read before something changed', () => {
    store.keepSheets(day, 'a', 'drawn');
    expect(store.sheets(day.from, 'a')).toBeUndefined();
    store.keepSheets(day, 'a', 'drawn');
    expect(store.sheets(day.from, 'a')).toBeUndefined();
    for (const _ of store.entries(day));
    clerk.addCorrection(correction(3, 4));
    expect(store.sheets(day.from, 'a')).toBeUndefined();
    store.keepSheets(day, 'a', 'drawn');
    expect(store.sheets(day.from, 'a')).toBeUndefined();
  });

  it('are kept under the newest three keys of a day', () => {
    for (const key of ['a', 'b', 'c', 'd']) {
      for (const span of [day, dayAfter]) {
        store.sheets(span.from, key);
        for (const _ of store.entries(span));
        store.keepSheets(span, key, `${key} ${span.from}`);
      }
    }
    const kept = ['a', 'b', 'c', 'd'].map((key) => store.sheets(day.from, key));
    expect(kept).toEqual([undefined, ...['b', 'c', 'd'].map((key) => `${key} ${day.from}`)]);
    expect(store.sheets(dayAfter.from, 'd')).toBe(`d ${dayAfter.from}`);
  });

  it('of every day that late postings touch go in one commit, and the others stay', () => {
    const days = [0, 1, 2, 3, 4, 5].map((number) => slots(number * 96, number * 96 + 96));
    for (const span of days) expect(drawn(store, undefined, span)).toBe(true);
    store.commit({
      ...emptyBatch,
      postings: [4 * 96, 96 + 95, 96 + 3, 700].map((slot) =>
        posting(slot, 'moss-lamp', 'counted', 1),
      ),
    });
    expect(days.map((span) => store.sheets(span.from, 'a') !== undefined)).toEqual([
      true,
      false,
      true,
      true,
      false,
      true,
    ]);
  });

  it('stay when the commit that would have dropped them fails', () => {
    expect(drawn(store)).toBe(true);
    const bad = { ...posting(3, 'moss-lamp', 'counted', 1), energy: 0.5 as never };
    const good = posting(2, 'moss-lamp', 'counted', 1);
    expect(() => store.commit({ ...emptyBatch, postings: [good, bad] })).toThrow('moss-lamp');
    expect(store.sheets(day.from, 'a')).toBe('drawn');
  });

  it('that the disk has no room for are not kept, and that is no fault', () => {
    const connection = connect(join(folder.path, 'small.db'), migrations);
    const small = storeOver(connection);
    expect(small.sheets(day.from, 'a')).toBeUndefined();
    for (const _ of small.entries(day));
    const pages = Number(connection.db.pragma('page_count', { simple: true }));
    connection.db.pragma(`max_page_count = ${pages + 1}`);
    const long = Array.from({ length: 20_000 }, (_, index) => Math.sin(index)).join(' ');
    small.keepSheets(day, 'a', long);
    expect(small.sheets(day.from, 'a')).toBeUndefined();
    connection.db.pragma('max_page_count = 100000');
    for (const _ of small.entries(day));
    small.keepSheets(day, 'a', long);
    expect(small.sheets(day.from, 'a')).toBe(long);
    small.close();
  });
});
