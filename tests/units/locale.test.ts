import { expect, it } from 'vitest';
import { readsFahrenheit } from '../../src/units/index.ts';

// Common practice, no source.
it.each([
  ['en-US', true],
  ['es-PR', true],
  ['en', true], // likeliest region: US
  ['en-CA', false],
  ['en-GB', false],
  ['de', false],
  ['en-LR', true],
])('reads %s in Fahrenheit: %s', (locale, fahrenheit) => {
  expect(readsFahrenheit(locale)).toBe(fahrenheit);
});
