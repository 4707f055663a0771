import { expect, it } from 'vitest';
import { median } from '../../src/units/index.ts';

it.each([
  [[3, 1, 2], 2],
  [[4, 1, 2, 3], 2.5],
  [[7], 7],
  [[], Number.NaN],
])('the middle of %j is %d', (values, middle) => {
  expect(median(values)).toBe(middle);
});
