import { describe, expect, it } from 'vitest';
import { play } from './scenario.ts';

describe('a room that gets cold', () => {
  it('is told when it falls two kelvin within three hours', () => {
    play(`
      room   20x120 20..16x240       # one kelvin an hour
      expect room-cooling not before +240m
      expect room-cooling warning by +290m
      expect room-cooling because falls-fast
      expect room-cooling likely
    `);
  });

  it('is told at a look every ten minutes too', () => {
    play(`
      look every 10m
      room   20x120 20..16x240
      expect room-cooling warning by +300m
    `);
  });

  it('is over when the fall is', () => {
    play(`
      room   20x120 20..17x120 17x300
      expect room-cooling warning by +250m
      expect room-cooling closed by +450m
    `);
  });

  it('is the yard, and does as the weather does: never', () => {
    play(`
      outdoors
      keep 1.5..30
      room   12x120 12..2x240
      expect room-cooling never
    `);
  });

  it('cools slowly at night, as ever: never', () => {
    play(`
      every 5m
      room   21..18.2x96 18.2..21x96
      expect room-cooling never
    `);
  });

  it('has its door opened for a quarter of an hour: never', () => {
    play(`
      room   20x120 20..14x5 14x10 14..19.8x8 19.8x60
      expect room-cooling never
    `);
  });

  it('has the sun on its probe for a quarter of an hour: never', () => {
    play(`
      room   20x120 20..25x5 25x10 25..20x8 20x120
      expect room-cooling never
    `);
  });

  it('is colder than the heater can hold, by its reckoned heat loss: possible, no more', () => {
    play(`
      nameplate 25
      room   16x120
      water  24.5x120
      expect room-cooling raised by +20m
      expect room-cooling because colder-than-heaters-hold
      expect room-cooling possible
    `);
  });

  it('is colder than the heater can hold, and the loss is learned: likely, and it is told when', () => {
    const { told } = play(`
      nameplate 25
      learned 8 +16
      room   16x120
      water  24.5x120
      heater 0x120
      expect room-cooling raised by +20m
      expect room-cooling because colder-than-heaters-hold
      expect room-cooling likely
    `);
    const { evidence } = told.get('room-cooling:fishroom')?.at(-1)?.finding ?? { evidence: [] };
    const of = (word: string) => evidence.find(({ what }) => what === word);
    // 24 °C − (25 − 16) W / 8 W/K, give or take 1.96 · √(0.2² · 1.125² + 1²) W over 8 W/K.
    expect(of('holds-down-to')?.value).toBeCloseTo(22.875, 9);
    expect(of('holds-down-to')?.low).toBeCloseTo(22.875 - 0.251, 3);
    expect(of('holds-down-to')?.subject).toEqual({ kind: 'tank', id: 'tank' });
    // Rests at 16 + 9/8 °C; of the 7.375 K above that it keeps 6.875: C / UA · ln of their ratio.
    const tau = (100 * 4186 * 1.05) / 8;
    const seconds = tau * Math.log(7.375 / 6.875);
    expect((of('time-to-kept-min')?.value ?? 0) / 1000).toBeCloseTo(seconds, 2);
    expect(of('learned-over')?.value).toBe(12 * 24 * 3_600_000);
  });

  it('is as cold as the heater may just not hold, within the band: possible, no more', () => {
    // Held down to 24 − 25/3 = 15.67 °C, and not sure until 14.9 °C.
    play(`
      nameplate 25
      learned 3 +0
      room   15.3x120
      water  24.5x120
      heater 0x120
      expect room-cooling raised by +20m
      expect room-cooling possible
    `);
  });

  it('is cold by geometry, but the tank is known to lose less: never', () => {
    play(`
      nameplate 25
      learned 2 +0
      room   16x120
      water  24.5x120
      heater 0x120
      expect room-cooling never
    `);
  });

  it('has no probe that speaks: nothing is known', () => {
    play(`
      usual 2 cycles
      room   20x10 _x60
      water  25x70
      expect room-cooling never
      expect room-cooling unknown at +60m
    `);
  });
});
