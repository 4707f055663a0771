import { expect, test } from 'vitest';
import { publishedPrices } from '../../src/books/index.ts';
import { DAY, HOUR, later } from '../../src/units/index.ts';
import { at, memoryStore } from './fish-room.ts';
import { published } from './household.ts';

const START = at('2026-03-03T06:00Z');
const hourAt = (index: number) => ({
  from: later(START, index * HOUR),
  to: later(START, (index + 1) * HOUR),
});

test('a published price is found at any instant, in any order, over any time', () => {
  const store = memoryStore();
  const hours = Array.from({ length: 60 * 24 }, (_, index) => index).filter(
    (index) => index % 10 !== 4,
  );
  store.publish(...hours.map((index) => published(hourAt(index), index / 1000)));
  const priceAt = publishedPrices(store.slotPrices);
  const orders = [
    Array.from({ length: 60 * 24 }, (_, index) => index),
    Array.from({ length: 60 * 24 }, (_, index) => 60 * 24 - 1 - index),
    Array.from({ length: 60 * 24 }, (_, index) => (index * 997) % (60 * 24)),
  ];
  for (const order of orders) {
    for (const index of order) {
      const expected = index % 10 === 4 ? undefined : index * 1000;
      expect(priceAt('day-ahead', hourAt(index).from)).toBe(expected);
      expect(priceAt('day-ahead', later(hourAt(index).to, -1))).toBe(expected);
    }
  }
});

test('there is none before the first, after the last, and of another series', () => {
  const store = memoryStore();
  store.publish(published(hourAt(0), 0.1), published(hourAt(40 * 24), 0.2));
  const priceAt = publishedPrices(store.slotPrices);
  expect(priceAt('day-ahead', later(START, -1))).toBeUndefined();
  expect(priceAt('day-ahead', START)).toBe(100_000);
  expect(priceAt('day-ahead', hourAt(1).from)).toBeUndefined();
  expect(priceAt('day-ahead', later(START, 40 * DAY))).toBe(200_000);
  expect(priceAt('day-ahead', hourAt(40 * 24 + 1).from)).toBeUndefined();
  expect(priceAt('intraday', START)).toBeUndefined();
});
