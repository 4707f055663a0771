import { expect, it } from 'vitest';
import { degreesOf, readsFahrenheit } from '../../src/units/index.ts';

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

// 212 °F is 100 °C, and −40 is the same in both: the definition of the scale.
it('turns temperatures and differences into the degrees that are read', () => {
  const [there, here] = [degreesOf('en-US'), degreesOf('de')];
  expect([100, 0, -40].map(there.temperature)).toEqual([212, 32, -40]);
  expect(there.difference(5)).toBe(9);
  expect([there.sign, here.sign]).toEqual(['°F', '°C']);
  expect([here.temperature(25), here.difference(5)]).toEqual([25, 5]);
});
