import { describe, it } from 'vitest';
import { play } from './script.ts';

const AIR = `
  device air air-pump 5
  usual air 4 for 2 days
`;

describe('an air pump', () => {
  it('stops: told after half an hour', () => {
    play(`${AIR}
      air 4x30 0x60 4x60
      expect air-stopped:air not before +59m
      expect air-stopped:air warning by +61m
      expect air-stopped:air because draws-nothing
      expect air-stopped:air closed by +125m
    `);
  });

  it('draws a third more, as with a closed valve: told after half an hour', () => {
    play(`${AIR}
      air 4x30 5.4x60
      expect air-stopped:air warning by +61m
      expect air-stopped:air because draws-more
      expect air-stopped:air likely
    `);
  });

  it('draws a third less, as with a torn diaphragm: told after half an hour', () => {
    play(`${AIR}
      air 4x30 2.6x60
      expect air-stopped:air warning by +61m
      expect air-stopped:air because draws-less
    `);
  });

  it('draws a little more on a night of high voltage: never', () => {
    play(`${AIR}
      air 4x30 4.5x200
      expect air-stopped:air never
    `);
  });

  it('is off for a quarter of an hour: never', () => {
    play(`${AIR}
      air 4x30 0x15 4x60
      expect air-stopped:air never
    `);
  });

  it('draws what its plug cannot tell from nothing: nothing can be said', () => {
    play(`
      device air air-pump 0.8
      air 0x90
      expect air-stopped:air never
      expect air-stopped:air unknown at +80m because under-plug-floor
    `);
  });

  it('draws nothing from the first day on, though it is rated five watts: possible', () => {
    play(`
      device air air-pump 5
      air 0x90
      expect air-stopped:air warning by +31m
      expect air-stopped:air because draws-nothing
      expect air-stopped:air possible
    `);
  });

  it('is new and draws something: not learned', () => {
    play(`
      device air air-pump 5
      air 3.1x60
      expect air-stopped:air never
      expect air-stopped:air unknown at +50m because not-learned
    `);
  });

  it('wavers at the limit for a day: told at most once', () => {
    const wavering = Array.from({ length: 1440 }, (_, i) => (i % 2 === 0 ? 4.85 : 4.75));
    play(`${AIR}
      air 5.4x60 ${wavering.join(' ')} 4x120
      expect air-stopped:air told once
      expect air-stopped:air closed by +1560m
    `);
  });

  it('is restarted in the middle of it: told at the same time', () => {
    play(`${AIR}
      restart at +45m
      air 4x30 0x60
      expect air-stopped:air not before +59m
      expect air-stopped:air warning by +61m
    `);
  });
});
