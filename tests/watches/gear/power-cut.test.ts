import { describe, it } from 'vitest';
import { play } from './script.ts';

const ROOM = `
  device filter pump 15
  device lamp light 40
  device air air-pump 5
  probe water
`;

const AT_ONCE = `
  gone filter at +30m
  gone lamp at +30m
  gone air at +31m
`;

describe('the plugs of a room', () => {
  it('vanish together and a probe is still heard: a power cut, likely', () => {
    play(`${ROOM} ${AT_ONCE}
      filter 12x30 _x30
      lamp   38x30 _x30
      air    4x31 _x29
      water  25x60
      expect power-cut:tank-room critical by +33m
      expect power-cut:tank-room because all-plugs-vanished
      expect power-cut:tank-room likely
    `);
  });

  it('vanish together without a last will: told once their silence is long enough', () => {
    play(`${ROOM}
      filter 12x30 _x30
      lamp   38x30 _x30
      air    4x30 _x30
      water  25x60
      expect power-cut:tank-room not before +30m
      expect power-cut:tank-room critical by +38m
    `);
  });

  it('vanish together with every probe: possible, it may be the network', () => {
    play(`${ROOM} ${AT_ONCE}
      gone water at +30m
      filter 12x30 _x30
      lamp   38x30 _x30
      air    4x31 _x29
      water  25x30 _x30
      expect power-cut:tank-room critical by +33m
      expect power-cut:tank-room because everything-vanished
      expect power-cut:tank-room possible
    `);
  });

  it('vanish together while others stay: one circuit, or one access point', () => {
    play(`${ROOM} ${AT_ONCE}
      device spare other 10
      filter 12x30 _x30
      lamp   38x30 _x30
      air    4x31 _x29
      spare  9x60
      water  25x60
      expect power-cut:tank-room warning by +33m
      expect power-cut:tank-room never critical
      expect power-cut:tank-room because some-plugs-vanished
      expect power-cut:tank-room possible
    `);
  });

  it('come back: over', () => {
    play(`${ROOM} ${AT_ONCE}
      back filter at +50m
      back lamp at +50m
      back air at +50m
      filter 12x30 _x20 12x30
      lamp   38x30 _x20 38x30
      air    4x31 _x19 4x30
      water  25x80
      expect power-cut:tank-room told once
      expect power-cut:tank-room closed by +64m
    `);
  });

  it('are silent because the broker is away: never', () => {
    play(`${ROOM}
      broker away +30m..+60m
      filter 12x90
      lamp   38x90
      air    4x90
      water  25x90
      expect power-cut:tank-room never
      expect power-cut:tank-room unknown at +45m because broker-away
    `);
  });

  it('vanish one by one over an hour: never', () => {
    play(`${ROOM}
      gone filter at +20m
      gone lamp at +40m
      gone air at +60m
      filter 12x20 _x60
      lamp   38x40 _x40
      air    4x60 _x20
      water  25x80
      expect power-cut:tank-room never
    `);
  });

  it('are only two: nothing can be said', () => {
    play(`
      device filter pump 15
      device lamp light 40
      gone filter at +10m
      gone lamp at +10m
      filter 12x10 _x20
      lamp   38x10 _x20
      expect power-cut:tank-room never
      expect power-cut:tank-room unknown at +20m because too-few-plugs
    `);
  });

  it('vanish in two rooms at once: one of them speaks for both', () => {
    play(`${ROOM}
      device loft-air air-pump 5 in loft
      gone filter at +30m
      gone lamp at +30m
      gone loft-air at +30m
      air      4x60
      filter   12x30 _x30
      lamp     38x30 _x30
      loft-air 4x30 _x30
      water    25x60
      expect power-cut:tank-room warning by +33m
      expect power-cut:loft-room never
      expect power-cut:loft-room quiet at +40m because elsewhere
    `);
  });

  it('are away when the daemon restarts: not over before they are back', () => {
    play(`${ROOM} ${AT_ONCE}
      restart at +40m
      back filter at +60m
      back lamp at +60m
      filter 12x30 _x30 12x30
      lamp   38x30 _x30 38x30
      air    4x31 _x59
      water  25x90
      expect power-cut:tank-room told once
      expect power-cut:tank-room critical by +33m
      expect power-cut:tank-room closed by +72m
    `);
  });
});
