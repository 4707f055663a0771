import { describe, it } from 'vitest';
import { play } from './scenario.ts';

describe('a heater that no longer heats', () => {
  it('is told within twice its hold once it should have switched on', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25.4..22.4x60       # 0.6 K an hour: switch-on at 25.0 passed after 40 minutes
      room   18x60
      heater 0x60
      expect heater-not-heating not before +90m
      expect heater-not-heating raised by +160m
      expect heater-not-heating because no-draw-below-switch-on
      expect heater-not-heating likely
      expect tank-too-cold warning by +180m
      expect heater-stuck-on never
    `);
  });

  it('is told by its set point when it has never drawn since the start', () => {
    play(`
      set 25
      every 5m
      water  25..22x60
      heater 0x60
      expect heater-not-heating raised by +120m
      expect heater-not-heating because no-draw-below-set-point
    `);
  });

  it('is told only below the kept minimum when nothing else is known', () => {
    play(`
      keep 2..25
      every 5m
      water  15..1x120
      room   0x120
      heater 0x120
      expect heater-not-heating not before +550m
      expect heater-not-heating raised by +600m
      expect heater-not-heating because no-draw-below-kept-min
    `);
  });

  it('is over soon after it draws again', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25.4..23.9x30 23.9..24.9x24
      heater 0x30 148x24
      expect heater-not-heating raised by +150m
      expect heater-not-heating quiet at +170m
    `);
  });

  it('is found by a plug that reports on change and says nothing more, being on the air', () => {
    play(`
      reporting on-change
      usual 6 cycles
      every 5m
      on heater at +0m
      water  25.4..22.4x60
      heater 0 _x59
      expect heater-not-heating raised by +160m
      expect plug-silent never
    `);
  });
});

describe('a heater that does not heat, and is right', () => {
  it('in a warm room', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25.4..25.2x100
      room   25x100
      heater 0x100
      expect heater-not-heating never
    `);
  });

  it('while the water warms by itself again', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25.4..24.5x14 24.5..26x30
      heater 0x44
      expect heater-not-heating never
    `);
  });

  it('with a plug that has gone off the air: nothing is known', () => {
    play(`
      usual 6 cycles
      every 5m
      gone heater at +6m
      water  25.4..22.4x60
      heater 0x1 _x59
      expect heater-not-heating never
      expect heater-not-heating unknown at +200m
      expect plug-silent raised by +15m
      expect plug-silent certain
    `);
  });

  it('with a probe that has been silent since: nothing is known', () => {
    play(`
      usual 6 cycles
      water  25.4..24.4x40 _x200
      heater 0x240
      expect heater-not-heating never
      expect heater-not-heating unknown at +100m
      expect probe-silent raised by +50m
    `);
  });

  it('with its probe fallen out of the water into the cool air', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25.2 25.1 22 20.5 20.2x40
      room   20x44
      heater 0x44
      expect heater-not-heating never
      expect heater-not-heating unknown at +200m
    `);
  });

  it('off for less than an hour after a change of water, then on', () => {
    play(`
      usual 6 cycles
      water  25.2 25 24.8 24.6 24.3 24.1 23.9x40 23.9..25x80
      heater 0x46 148x80
      expect heater-not-heating never
    `);
  });

  it('off for long since it was warm enough, and then unplugged for a change of water', () => {
    play(`
      usual 6 cycles
      water  25.4..25.0x90 24.7 24.5 24.4 24.3x42 24.3..25x60
      heater 0x135 148x60
      expect heater-not-heating never
    `);
  });

  it('beside another that heats, while its own set point is unknown', () => {
    play(`
      usual 6 cycles
      every 5m
      water    25..24x40
      heater   148x40
      heater-2 0x40
      expect heater-not-heating:heater-2 never
      expect heater-not-heating:heater-2 unknown at +190m
      expect heater-not-heating never
    `);
  });
});

describe('several heaters in one tank', () => {
  it('are judged each by its own plug', () => {
    play(`
      usual 6 cycles
      set 25
      every 5m
      water    25.4..22.6x60
      heater   0x60
      heater-2 0x60
      expect heater-not-heating raised by +160m
      expect heater-not-heating:heater-2 raised by +160m
    `);
  });

  it('share the work unevenly: one holds the water a little lower than the other would', () => {
    play(`
      usual 6 cycles
      every 5m
      water    24.54x30 24.46x60
      heater   0x90
      heater-2 148x90
      expect heater-not-heating never
      expect heater-not-heating quiet at +300m because held-by-another
    `);
  });

  it('are stuck one at a time', () => {
    play(`
      usual 6 cycles
      set 25
      water    25.4..27.4x60
      heater   148x60
      heater-2 0x60
      expect heater-stuck-on warning by +25m
      expect heater-stuck-on:heater-2 never
    `);
  });
});
