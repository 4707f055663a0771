import { describe, it } from 'vitest';
import { play } from './scenario.ts';

/** Days of twelve cycles of two hours, each switching off at the day's temperature. */
const days = (offs: readonly number[]): string =>
  offs
    .map((off) => {
      const cycle = `${off}..${off - 0.4}x8 ${off - 0.4}..${off}x4`;
      return `      water  ${new Array(12).fill(cycle).join(' ')}
      heater ${new Array(12).fill('0x8 148x4').join(' ')}`;
    })
    .join('\n');

const script = (offs: readonly number[], expected: string): void => {
  play(`
      every 10m
      look every 60m
${days(offs)}
      ${expected}
    `);
};

const fixed = (count: number, off: number) => new Array<number>(count).fill(off);

describe('a thermostat that drifts', () => {
  it('is found when its switch-off has wandered by half a kelvin within two weeks', () => {
    const offs = Array.from({ length: 14 }, (_, i) => 25.4 + 0.06 * i);
    script(
      offs,
      `expect heater-drifting not before +200h
      expect heater-drifting warning by +330h
      expect heater-drifting because wanders
      expect heater-drifting likely
      restart at +150h`,
    );
  });

  it('is found on the way down too', () => {
    const offs = Array.from({ length: 14 }, (_, i) => 25.4 - 0.07 * i);
    script(offs, 'expect heater-drifting warning by +330h');
  });
});

describe('a thermostat that does not drift', () => {
  it('had its dial turned: that is asked, not said, and forgotten within two weeks', () => {
    script(
      [...fixed(8, 25.4), ...fixed(16, 26.2)],
      `expect heater-drifting notice by +260h
      expect heater-drifting because stepped
      expect heater-drifting possible
      expect heater-drifting closed by +560h`,
    );
  });

  it('has its probe moved to a cooler corner: that is asked, and forgotten likewise', () => {
    script(
      [...fixed(8, 25.4), ...fixed(16, 24.7)],
      `expect heater-drifting notice by +260h
      expect heater-drifting because stepped
      expect heater-drifting possible
      expect heater-drifting closed by +560h`,
    );
  });

  it('wavers by a few tenths from day to day', () => {
    const offs = Array.from({ length: 16 }, (_, i) => 25.4 + 0.2 * (i % 2));
    script(offs, 'expect heater-drifting never');
  });

  it('was stuck on one afternoon and unplugged: one switch-off far above', () => {
    play(`
      every 10m
      look every 60m
${days(fixed(7, 25.4))}
      water  25.4..27x10 27..25x14
      heater 148x10 0x14
${days(fixed(3, 25.4))}
      expect heater-drifting never
    `);
  });

  it('is known for less than a week: nothing is said', () => {
    script(
      [25.4, 25.6, 25.8, 26, 26.2],
      `expect heater-drifting never
      expect heater-drifting unknown at +110h because too-few-days`,
    );
  });
});
