import { describe, it } from 'vitest';
import { play } from './scenario.ts';

describe('a heater that is stuck on', () => {
  it('is told within 25 minutes and is critical one kelvin above its switch-off', () => {
    play(`
      usual 6 cycles
      water  25.4..27.4x80       # 1.5 K an hour
      room   20x80
      heater 148x80
      expect heater-stuck-on not before +10m
      expect heater-stuck-on warning by +25m
      expect heater-stuck-on critical by +45m
      expect heater-stuck-on because on-above-switch-off
      expect heater-stuck-on because on-far-above-switch-off
      expect heater-not-heating never
      expect tank-too-cold never
    `);
  });

  it('is told before 40 % of the margin to the kept maximum is used up, even when it heats fast', () => {
    play(`
      usual 6 cycles
      keep 24..27.4              # 2 K of margin: 40 % are 0.8 K
      water  25.4..29.4x80       # 3 K an hour: 0.8 K after 16 minutes
      heater 148x80
      expect heater-stuck-on warning by +16m
    `);
  });

  it('is critical from the kept maximum on', () => {
    play(`
      usual 6 cycles
      keep 24..26
      water  25.4..27x60
      heater 148x60
      expect heater-stuck-on critical by +28m
      expect heater-stuck-on because on-above-kept-max
    `);
  });

  it('is found at a look every ten minutes too', () => {
    play(`
      usual 6 cycles
      look every 10m
      water  25.4..27.4x80
      heater 148x80
      expect heater-stuck-on warning by +30m
      expect heater-stuck-on critical by +60m
    `);
  });

  it('is found by the set point before anything is learned, and is then only possible', () => {
    play(`
      set 25
      water  25..26.2x70
      heater 148x70
      expect heater-stuck-on not before +45m
      expect heater-stuck-on warning by +60m
      expect heater-stuck-on possible
      expect heater-stuck-on because on-above-set-point
    `);
  });

  it('is found at the kept maximum when nothing is told and nothing learned', () => {
    play(`
      water  25..27.5x100
      heater 148x100
      expect heater-stuck-on not before +78m
      expect heater-stuck-on critical by +84m
      expect heater-stuck-on certain
    `);
  });

  it('does not teach a higher switch-off by being unplugged while hot, three times over', () => {
    play(`
      usual 8 cycles
      water  25.4..26.6x50 26.6..25x90 25..26.8x80 26.8..25x90 25..26.9x90
      heater 148x50        0x90        148x80      0x90        148x90
      expect heater-stuck-on warning by +25m
      expect heater-stuck-on because on-far-above-switch-off
      expect heater-stuck-on warning by +180m
      expect heater-stuck-on critical by +400m
    `);
  });

  it('is over ten minutes after it was unplugged', () => {
    play(`
      usual 6 cycles
      water  25.4..26.4x40 26.4..25.9x60
      heater 148x40 0x60
      expect heater-stuck-on warning by +25m
      expect heater-stuck-on quiet at +52m
    `);
  });

  it('does not open again after a restart in the middle, nor forget', () => {
    play(`
      usual 6 cycles
      restart at +15m
      water  25.4..27.4x80
      heater 148x80
      expect heater-stuck-on warning by +25m
      expect heater-stuck-on critical by +45m
    `);
  });

  it('is only possible without a probe, by a run far longer than any before', () => {
    play(`
      without water
      every 5m
      heater 0x4 148x2 0x4 148x2 0x4 148x3 0x4 148x2 0x4 148x2 0x4 148x2 0x4 148x60
      expect heater-stuck-on not before +375m
      expect heater-stuck-on warning by +400m
      expect heater-stuck-on possible
      expect heater-stuck-on because on-longer-than-ever
    `);
  });
});

describe('a heater that is not stuck on, though it looks so', () => {
  it('cycles as always', () => {
    play(`
      usual 6 cycles
      water  25.4..25x40 25..25.4x20 25.4..25x40 25..25.4x20
      heater 0x40 148x20 0x40 148x20
      expect heater-stuck-on never
      expect heater-not-heating never
      expect tank-too-warm never
      expect tank-too-cold never
      expect plug-silent never
      expect probe-silent never
    `);
  });

  it('draws all night in a cold room, below its set point', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25..24.4x60 24.4x90
      room   12x150
      heater 148x150
      expect heater-stuck-on never
      expect heater-not-heating never
    `);
  });

  it('is off in a summer that warms the tank: only the tank is too warm', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25.4..29x80
      room   31x80
      heater 0x80
      expect heater-stuck-on never
      expect tank-too-warm critical by +400m
      expect heater-not-heating never
    `);
  });

  it('is off while the lamps warm the water', () => {
    play(`
      usual 6 cycles
      water  25.4..26.4x120 26.4..25.4x120
      heater 0x240
      expect heater-stuck-on never
    `);
  });

  it('draws while its probe hangs in the air and is put back', () => {
    play(`
      usual 6 cycles
      water  25 22x20 25.1 25.2 25.3 25.4x3 25.35x20
      heater 148x26 0x20
      expect heater-stuck-on never
    `);
  });

  it('draws while its probe lies on the lamp for a while', () => {
    play(`
      usual 6 cycles
      water  25.2 29x12 25.3x30
      heater 148x13 0x30
      expect heater-stuck-on never
    `);
  });

  it('shows a single wrong sample far above', () => {
    play(`
      usual 6 cycles
      water  25.1 25.2 85 25.3 25.3 29 25.4 25.4x30
      heater 148x7 0x30
      expect heater-stuck-on never
      expect tank-too-warm never
    `);
  });

  it('draws above its switch-off while the water falls: it has just been switched on', () => {
    play(`
      usual 6 cycles
      water  26.3..25.8x60
      heater 0x30 148x30
      expect heater-stuck-on never
    `);
  });

  it('shares its plug with something else, however weak: nothing is known', () => {
    play(`
      companion 15
      set 25
      water  25..27x60 27.5x20
      heater 163x80
      expect heater-stuck-on never
      expect heater-stuck-on unknown at +59m because plug-shared
      expect heater-not-heating unknown at +59m because plug-shared
      expect tank-too-warm warning by +80m
    `);
  });

  it('has a plug that was last heard drawing, hours ago', () => {
    play(`
      usual 6 cycles
      water  25.4..27x120
      heater 148x5 _x115
      expect heater-stuck-on never
      expect heater-stuck-on unknown at +60m
      expect plug-silent warning by +12m
      expect tank-too-warm quiet at +110m
    `);
  });
});
