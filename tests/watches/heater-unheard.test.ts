import { describe, expect, it } from 'vitest';
import { play } from './scenario.ts';

describe('a heater that the water does not answer', () => {
  it('is found when two hours of heat have warmed nothing', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25..24.7x60
      room   20x60
      heater 148x60
      expect heater-unheard not before +60m
      expect heater-unheard warning by +150m
      expect heater-unheard because no-answer
      expect heater-unheard likely
    `);
  });

  it('goes on being found through a restart', () => {
    play(`
      usual 6 cycles
      every 5m
      restart at +80m
      water  25..24.7x60
      room   20x60
      heater 148x60
      expect heater-unheard warning by +160m
    `);
  });

  it('is found in a colder room once it is learned how little the tank loses', () => {
    // 148 W for two hours and 2 W/K: worth 1.8 K at a difference of 17 K. Geometry, taken high, has
    // all of that lost.
    const script = `
      usual 6 cycles
      every 5m
      water  25..24.9x60
      room   8x60
      heater 148x60
    `;
    play(`${script}
      expect heater-unheard never
    `);
    const { told } = play(`${script}
      learned 2 +0
      expect heater-unheard warning by +150m
      expect heater-unheard because no-answer
    `);
    const { evidence } = told.get('heater-unheard:heater')?.at(-1)?.finding ?? { evidence: [] };
    const worth = evidence.find(({ what }) => what === 'heat-worth')?.value ?? 0;
    const lost = 2 * 16.9 + 1.96 * Math.sqrt((0.05 * 16.9) ** 2 + 1);
    expect(Math.abs(worth - ((148 - lost) * 7200) / (100 * 4186 * 1.05))).toBeLessThan(0.05);
    expect(evidence.map(({ what }) => what)).toContain('learned-over');
  });

  it('may be a probe that hangs in the air: then it is only possible', () => {
    play(`
      every 5m
      water  20x72
      room   20x72
      heater 148x5 0x4
      again 8
      expect heater-unheard warning by +300m
      expect heater-unheard because probe-in-air
      expect heater-unheard possible
    `);
  });
});

describe('a heater that the water does answer', () => {
  it('cycles as always', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25.4..25x8 25..25.4x4
      room   20x12
      heater 0x8 148x4
      again 10
      expect heater-unheard never
    `);
  });

  it('warms the probe late and by half, behind poor circulation', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25.4..25x8 25x3 25..26.2x36
      room   20x47
      heater 0x8 148x39
      expect heater-unheard never
    `);
  });

  it('makes up for water a little cooler that was poured in', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25.4..24.2x3 24.2..25.4x24 25.4..25x8
      room   20x35
      heater 0x3 148x24 0x8
      expect heater-unheard never
    `);
  });

  it('only just holds a cold room: its heat goes into the air, as reckoned', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25x60
      room   8x60
      heater 148x60
      expect heater-unheard never
    `);
  });

  it('has made up for a window that was open until a while ago', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25x4 25..24.6x24 24.6..24.8x16
      room   20x4 4x24 19x16
      heater 0x4 148x40
      expect heater-unheard never
    `);
  });

  it('heats a tank that is known to lose far more than its size says', () => {
    const script = `
      usual 6 cycles
      every 5m
      water  25x60
      room   20x60
      heater 148x60
    `;
    play(`${script}
      expect heater-unheard warning by +150m
    `);
    play(`${script}
      learned 28 +0
      expect heater-unheard never
    `);
  });

  it('heats water that was poured in cold, or whose probe was moved', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25 22x10 22x14
      room   20x25
      heater 148x25
      expect heater-unheard never
      expect heater-unheard unknown at +60m because probe-jumped
    `);
  });

  it('works against a chiller, which is another watch’s matter', () => {
    play(`
      usual 6 cycles
      every 5m
      water   25x60
      room    20x60
      heater  148x60
      chiller 200x60
      expect heater-unheard never
      expect heater-unheard unknown at +280m because chiller-runs
    `);
  });

  it('stands in a tank of unknown size, or in a room without a probe: nothing is known', () => {
    play(`
      without room
      every 5m
      water  25x40
      heater 148x40
      expect heater-unheard unknown at +190m because no-room-probe
    `);
  });
});
