import { expect, test } from 'vitest';
import { remembering } from '../../src/books/remembered.ts';
import type { Instant } from '../../src/units/index.ts';

const [monday, tuesday, wednesday] = [1, 2, 3] as [Instant, Instant, Instant];

test('what has not been asked for longest is forgotten first', () => {
  const days = remembering<string>(2, () => 1);
  days.set(monday, 'reed');
  days.set(tuesday, 'heron');
  days.get(monday);
  days.set(wednesday, 'newt');
  expect([days.get(monday), days.get(tuesday), days.get(wednesday)]).toEqual([
    'reed',
    undefined,
    'newt',
  ]);
});

test('weight counts, also of what is replaced or let go of', () => {
  const days = remembering<string>(6, (text) => text.length);
  days.set(monday, 'heron');
  days.set(monday, 'ibis');
  days.set(tuesday, 'ox');
  expect(days.get(monday)).toBe('ibis');
  days.forget(monday);
  days.set(wednesday, 'newt');
  expect([days.get(tuesday), days.get(wednesday)]).toEqual(['ox', 'newt']);
  days.clear();
  expect(days.get(wednesday)).toBeUndefined();
});
