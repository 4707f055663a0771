import { describe, it } from 'vitest';
import { play } from './script.ts';

const PUMP = `
  device filter pump 15
  usual filter 12 for 8 days
`;

describe('a filter', () => {
  it('draws nothing: told after five minutes', () => {
    play(`${PUMP}
      filter 12x30 0.2x60 12x30
      expect pump-stopped:filter not before +34m
      expect pump-stopped:filter warning by +36m
      expect pump-stopped:filter because draws-nothing
      expect pump-stopped:filter likely
      expect pump-stopped:filter closed by +100m
    `);
  });

  it('draws nothing for an hour and nothing else moves the water: critical', () => {
    play(`${PUMP}
      filter 0x80
      expect pump-stopped:filter critical by +61m
    `);
  });

  it('draws nothing for an hour and an air pump runs: no more than a warning', () => {
    play(`${PUMP}
      device air air-pump 4
      usual air 4 for 8 days
      filter 0x80
      air    4x80
      expect pump-stopped:filter warning by +6m
      expect pump-stopped:filter never critical
    `);
  });

  it('takes a moment of nothing, and a spike: never', () => {
    play(`${PUMP}
      filter 12x30 0x3 12x30 400 12x30
      expect pump-stopped:filter never
    `);
  });

  it('is new, and pauses for feeding before anyone knows that it does: never', () => {
    play(`
      device filter pump 15
      usual filter 12 for 2 days
      filter 12x30 0x10 12x60
      expect pump-stopped:filter never
    `);
  });

  it('is new, and stops: told a little after any feeding pause would be over', () => {
    play(`
      device filter pump 15
      usual filter 12 for 2 days
      filter 12x30 0x40
      expect pump-stopped:filter not before +45m
      expect pump-stopped:filter warning by +47m
    `);
  });

  it('pauses for ten minutes, and its plug speaks every five: seen as fifteen, never told', () => {
    play(`
      device filter pump 15
      usual filter 12 for 2 days
      every 5m
      filter 12x6 0x2 12x120 0x3 12x120 0x3 12x12
      expect pump-stopped:filter never
    `);
  });

  it('pauses for feeding as it has done before: never again', () => {
    play(`${PUMP}
      filter 12x30 0x4 12x60 0x5 12x60 0x6 12x60
      expect pump-stopped:filter never
    `);
  });

  it('pauses for ten minutes every day: told at most the first time', () => {
    play(`${PUMP}
      filter 12x30 0x10 12x600 0x10 12x600 0x12 12x60
      expect pump-stopped:filter told once
      expect pump-stopped:filter closed by +60m
    `);
  });

  it('does not start again after a feeding pause: told all the same', () => {
    play(`${PUMP}
      filter 12x30 0x10 12x600 0x40
      expect pump-stopped:filter warning by +656m
    `);
  });

  it('does not come back with its power: told ten minutes after that', () => {
    play(`${PUMP}
      gone filter at +30m
      back filter at +60m
      filter 12x30 _x30 0x30
      expect pump-stopped:filter unknown at +40m because plug-gone
      expect pump-stopped:filter not before +69m
      expect pump-stopped:filter warning by +71m
      expect pump-stopped:filter because not-back-after-power
    `);
  });

  it('comes back with its power, some minutes late: never', () => {
    play(`${PUMP}
      gone filter at +30m
      back filter at +60m
      filter 12x30 _x30 0x6 12x60
      expect pump-stopped:filter never
    `);
  });

  it('wavers at the limit for a day: told once, over once', () => {
    const wavering = Array.from({ length: 1440 }, (_, i) => (i % 3 === 0 ? 2.6 : 2.1));
    play(`${PUMP}
      filter 1x30 ${wavering.join(' ')} 12x60
      expect pump-stopped:filter told once
      expect pump-stopped:filter closed by +1530m
    `);
  });

  it('is restarted in the middle of it: told at the same time', () => {
    play(`${PUMP}
      restart at +32m
      filter 12x30 0x30
      expect pump-stopped:filter not before +34m
      expect pump-stopped:filter warning by +36m
    `);
  });

  it('is off by its schedule: never', () => {
    play(`
      device filter pump 15
      schedule filter 08:00-20:00
      begins 2026-03-03T18:00Z             # noon in Winnipeg
      filter 12x480 0x720 12x60
      expect pump-stopped:filter never
      expect pump-stopped:filter quiet at +600m because off-by-plan
    `);
  });

  it('is new, and nothing is known of it: nothing is said', () => {
    play(`
      device filter pump 15
      filter 0x120
      expect pump-stopped:filter never
      expect pump-stopped:filter unknown at +100m because not-learned
    `);
  });

  it('shares its plug with a lamp: nothing can be said', () => {
    play(`
      device filter pump 15
      device lamp light 40
      share filter lamp
      filter 12x60 0x60
      expect pump-stopped:filter never
      expect pump-stopped:filter unknown at +90m because plug-shared
    `);
  });

  it('is not seen while the broker is away', () => {
    play(`${PUMP}
      broker away +10m..+60m
      filter 12x10 0x50 12x60
      expect pump-stopped:filter never
      expect pump-stopped:filter unknown at +40m because broker-away
    `);
  });
});
