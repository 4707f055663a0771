import { describe, it } from 'vitest';
import { play } from './scenario.ts';

describe('a probe that is frozen', () => {
  it('is found while the heater works', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25.13x48
      heater 0x4 148x8
      again 4
      expect probe-frozen not before +30m
      expect probe-frozen warning by +80m
      expect probe-frozen because constant-while-heated
      expect probe-frozen likely
      restart at +40m
    `);
  });

  it('is over as soon as it moves', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25.13x24 25.2 25.3 25.2 25.3 25.1
      heater 0x4 148x25
      expect probe-frozen warning by +90m
      expect probe-frozen closed by +130m
    `);
  });
});

describe('a probe that is not frozen, though it stands still', () => {
  it('shows a summer’s water in which no heater works', () => {
    play(`
      usual 6 cycles
      every 5m
      water  26x288
      heater 0x288
      expect probe-frozen never
      expect probe-frozen quiet at +20h because too-little-heat
    `);
  });

  it('is coarse: it shows one value for an hour and another for the next', () => {
    play(`
      every 5m
      water  25x10 25.5x10
      heater 0x8 148x4 0x4 148x4
      again 12
      expect probe-frozen never
    `);
  });

  it('is silent: that is another watch’s matter', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25.1 25.2 _x60
      heater 148x62
      expect probe-frozen never
      expect probe-frozen unknown at +300m because probe-silent
    `);
  });

  it('has never moved at all: nothing is learned to hold it against', () => {
    play(`
      every 5m
      water  25x60
      heater 148x60
      expect probe-frozen never
      expect probe-frozen unknown at +290m because not-learned
    `);
  });

  it('hangs beside a heater whose plug tells nothing', () => {
    play(`
      companion 15
      usual 6 cycles
      every 5m
      water  25.13x40
      heater 163x40
      expect probe-frozen never
      expect probe-frozen unknown at +190m because no-heater-heard
    `);
  });
});
