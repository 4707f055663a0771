import { describe, it } from 'vitest';
import { play } from './scenario.ts';

/** An hour of two thirds off and one third on, over and over. */
const THIRD = `
      every 5m
      look every 15m
      water  25.4..25x8 25..25.4x4
      heater 0x8 148x4`;

describe('a tank that takes other heat than expected', () => {
  it('is found when it takes more for twelve hours', () => {
    play(`${THIRD}
      again 24
      duty 0.10..0.25
      expect duty-unexplained not before +17h
      expect duty-unexplained notice by +20h
      expect duty-unexplained because more-than-expected
      expect duty-unexplained likely
      restart at +10h
    `);
  });

  it('is found when it takes less', () => {
    play(`${THIRD}
      again 24
      duty 0.45..0.60
      expect duty-unexplained notice by +20h
      expect duty-unexplained because less-than-expected
    `);
  });
});

describe('a tank of which nothing is to be explained', () => {
  it('takes what is expected', () => {
    play(`${THIRD}
      again 30
      duty 0.25..0.45
      expect duty-unexplained never
      expect duty-unexplained quiet at +29h because as-expected
    `);
  });

  it('has a lid off for an afternoon', () => {
    play(`${THIRD}
      again 12
      water  25x60
      heater 148x60
      duty 0.25..0.45
      expect duty-unexplained never
    `);
  });

  it('is tended: unplugged for an hour, then two hours of heat for cooler water', () => {
    play(`${THIRD}
      again 12
      water  25..24x12 23.2..25x24
      heater 0x12 148x24
      ${new Array(14).fill('water 25.4..25x8 25..25.4x4').join('\n')}
      ${new Array(14).fill('heater 0x8 148x4').join('\n')}
      duty 0.25..0.45
      expect duty-unexplained never
    `);
  });

  it('has a fit too young to expect anything', () => {
    play(`${THIRD}
      again 24
      expect duty-unexplained never
      expect duty-unexplained unknown at +23h because nothing-expected
    `);
  });

  it('has a heater that nothing is known of', () => {
    play(`${THIRD}
      companion 15
      again 10
      duty 0.0..0.1
      expect duty-unexplained never
      expect duty-unexplained unknown at +9h because heater-unknown
    `);
  });
});
