import { describe, it } from 'vitest';
import { noise, play } from './script.ts';

const PUMP = `
  device filter pump 15
  usual filter 12 for 9 days
  every 5m
`;

describe('the load of a pump', () => {
  it('rises by half: told within a quarter of an hour', () => {
    play(`${PUMP}
      filter 12x12 18x24
      expect pump-laboring:filter not before +70m
      expect pump-laboring:filter warning by +80m
      expect pump-laboring:filter because draws-far-more
    `);
  });

  it('falls by a third: told within a quarter of an hour', () => {
    play(`${PUMP}
      filter 12x12 8x24 12x24
      expect pump-laboring:filter warning by +80m
      expect pump-laboring:filter because draws-far-less
      expect pump-laboring:filter closed by +200m
    `);
  });

  it('rises by fifteen percent: noticed after about a day', () => {
    play(`${PUMP}
      filter 12x12 13.8x720
      expect pump-laboring:filter not before +19h
      expect pump-laboring:filter notice by +30h
      expect pump-laboring:filter because draws-more
      expect pump-laboring:filter told once
    `);
  });

  it('rises by fifteen percent, stays there, and is usual after a week: over', () => {
    play(`${PUMP}
      filter 12x12 13.8x3168
      expect pump-laboring:filter notice by +30h
      expect pump-laboring:filter closed by +10d
      expect pump-laboring:filter told once
    `);
  });

  it('is higher for an evening: never', () => {
    play(`${PUMP}
      filter 12x12 13.8x72 12x400
      expect pump-laboring:filter never
    `);
  });

  it('has a spike, and starts with a surge: never', () => {
    play(`${PUMP}
      filter 12x12 60 12x60 0x2 30 12x60
      expect pump-laboring:filter never
    `);
  });

  it('stands still: that is for pump-stopped to say', () => {
    play(`${PUMP}
      filter 12x12 0x36
      expect pump-laboring:filter never
      expect pump-laboring:filter quiet at +2h because stopped
      expect pump-stopped:filter warning by +80m
    `);
  });

  it('wavers at a tenth for days: told at most once', () => {
    const random = noise(3);
    const wavering = Array.from({ length: 1152 }, () => (13.2 + 0.3 * random()).toFixed(2));
    play(`${PUMP}
      filter 12x12 14x400 ${wavering.join(' ')} 12x400
      expect pump-laboring:filter told once
      expect pump-laboring:filter closed by +160h
    `);
  });

  it('is learned over a restart too', () => {
    play(`${PUMP}
      restart at +65m
      filter 12x12 18x24
      expect pump-laboring:filter warning by +80m
    `);
  });

  it('follows a program, slow at night and fast by day: never', () => {
    const days = 'filter 6x144 12x144\n'.repeat(12);
    play(`
      device filter pump 15
      every 5m
      ${days}
      expect pump-laboring:filter never
      expect pump-laboring:filter quiet at +11d because as-usual
    `);
  });

  it('follows a program that pulses every quarter of an hour: never', () => {
    const days = 'filter 6x3 12x3\n'.repeat(500);
    play(`
      device filter pump 15
      every 5m
      ${days}
      expect pump-laboring:filter never
    `);
  });

  it('follows a program and then jams above all of it: told', () => {
    play(`
      device filter pump 15
      every 5m
      ${'filter 6x144 12x144\n'.repeat(9)}
      filter 19x24
      expect pump-laboring:filter not before +9d
      expect pump-laboring:filter warning by +9d20m
    `);
  });

  it('is not learned yet: nothing is said', () => {
    play(`
      device filter pump 15
      every 5m
      filter 12x144 18x36
      expect pump-laboring:filter never
      expect pump-laboring:filter unknown at +13h because not-learned
    `);
  });
});
