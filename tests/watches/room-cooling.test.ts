import { describe, it } from 'vitest';
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
