import { describe, expect, it } from 'vitest';
import { play } from './scenario.ts';

describe('a tank out of its kept range', () => {
  it('is told after ten minutes, and critical beyond 1.5 K', () => {
    play(`
      water  26..29.5x140
      heater 0x140
      expect tank-too-warm not before +50m
      expect tank-too-warm warning by +55m
      expect tank-too-warm critical by +105m
      expect tank-too-warm because far-above-kept-max
      expect tank-too-cold never
    `);
  });

  it('is told on the cold side likewise', () => {
    play(`
      water  25..21.5x140
      heater 0x140
      expect tank-too-cold not before +50m
      expect tank-too-cold warning by +55m
      expect tank-too-cold critical by +105m
      expect tank-too-warm never
    `);
  });

  it('tells what draws and what does not, and how long it will be', () => {
    const { timeline } = play(`
      room   20x60
      water  29x60
      heater 148x60
      heater-2 0x60
      expect tank-too-warm warning by +15m
    `);
    const evidence = timeline.get('tank-too-warm:tank')?.at(-1)?.finding.evidence ?? [];
    const of = (what: string) => evidence.filter((it) => it.what === what);
    expect(of('draws').map(({ value, subject }) => [subject?.id, value])).toEqual([
      ['heater', 148],
      ['heater-2', 0],
    ]);
    expect(of('time-to-be-back')).toHaveLength(1);
    expect(of('half-hour-change')).toHaveLength(1);
  });

  it('is told at a look every ten minutes too', () => {
    play(`
      look every 10m
      water  26..29.5x140
      expect tank-too-warm warning by +70m
      expect tank-too-warm critical by +120m
    `);
  });

  it('has one wrong sample an hour: never', () => {
    play(`
      water  25x30 85 25x59 -127 25x59 31 25x30
      expect tank-too-warm never
      expect tank-too-cold never
    `);
  });

  it('has one wrong sample from a slow probe: never', () => {
    play(`
      every 10m
      look every 1m
      interval 600
      water  25x30 29 25x30 19 25x30
      expect tank-too-warm never
      expect tank-too-cold never
    `);
  });

  it('has a first wrong sample, as a sensor gives at power-on: never', () => {
    play(`
      water  85 25x60
      expect tank-too-warm never
    `);
  });

  it('is cooled by a change of water that warms up again: never', () => {
    play(`
      usual 6 cycles
      water  25.2 24.8 24.3 23.8 23.4 23.2 23..24.4x40 24.4..25.2x60
      heater 148x106
      expect tank-too-cold never
    `);
  });

  it('is cooled far by a change of water: told all the same', () => {
    play(`
      usual 6 cycles
      water  25.2 24 23 22 21.8x60
      heater 148x64
      expect tank-too-cold critical by +20m
    `);
  });

  it('has a probe that is silent: nothing is known', () => {
    play(`
      usual 6 cycles
      water  26.9..27.2x6 _x60
      expect tank-too-warm never
      expect tank-too-warm unknown at +30m
    `);
  });

  it('is outside by one of its two probes: likely; by both: certain', () => {
    play(`
      usual 2 cycles
      water    25x60
      water-2  28x60
      expect tank-too-warm warning by +15m
      expect tank-too-warm likely
    `);
    play(`
      usual 2 cycles
      water    27.6x60
      water-2  28x60
      expect tank-too-warm warning by +15m
      expect tank-too-warm certain
    `);
  });

  it('goes by the probe that still speaks', () => {
    play(`
      usual 2 cycles
      water    25x60
      water-2  28x5 _x55
      expect tank-too-warm never
      expect probe-silent:water-2 raised by +12m
      expect tank-too-warm quiet at +59m
    `);
  });

  it('is inside again only with some margin, and for some time', () => {
    play(`
      water  25 28x20 26.9x60 26.7x15
      expect tank-too-warm warning by +15m
      expect tank-too-warm raised by +15m
      expect tank-too-warm closed by +95m
    `);
  });
});
