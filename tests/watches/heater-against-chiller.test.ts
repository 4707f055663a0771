import { describe, it } from 'vitest';
import { play } from './scenario.ts';

describe('a heater and a chiller', () => {
  it('that run in turn all day are found', () => {
    play(`
      every 5m
      water   25..25.4x6 25.4..25x6
      heater  148x6 0x6
      chiller 0x6 200x6
      again 10
      expect heater-against-chiller not before +100m
      expect heater-against-chiller warning by +6h
      expect heater-against-chiller because heated-and-cooled
      expect heater-against-chiller likely
      restart at +2h
    `);
  });

  it('are over within a day of peace', () => {
    const peace = `water 25x288\n heater 0x288\n chiller 200x12 0x276`;
    play(`
      every 5m
      look every 15m
      water   25..25.4x6 25.4..25x6
      heater  148x6 0x6
      chiller 0x6 200x6
      again 10
      ${peace}
      expect heater-against-chiller warning by +6h
      expect heater-against-chiller closed by +33h
    `);
  });

  it('that keep a planned night cycle are left in peace', () => {
    play(`
      every 5m
      look every 15m
      water   26x120 24.5x168
      heater  148x10 0x40 148x10 0x60 0x120 148x48
      chiller 0x125 200x20 0x50 200x20 0x73
      again 3
      expect heater-against-chiller never
    `);
  });

  it('of which the chiller shares its plug, or does not speak, are unknown', () => {
    play(`
      every 5m
      water   25x60
      heater  148x60
      chiller 200x2 _x58
      expect heater-against-chiller unknown at +290m because chiller-unknown
    `);
  });

  it('are only possible enemies without a probe', () => {
    play(`
      without water
      every 5m
      heater  148x6 0x6
      chiller 0x6 200x6
      again 10
      expect heater-against-chiller warning by +6h
      expect heater-against-chiller possible
    `);
  });
});
