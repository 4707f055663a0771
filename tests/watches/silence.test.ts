import { describe, it } from 'vitest';
import { play } from './scenario.ts';

describe('a plug or probe that falls silent', () => {
  it('is told after five minutes when it usually speaks every minute', () => {
    play(`
      usual 6 cycles
      water  25x70
      heater 0x20 _x50
      expect plug-silent not before +24m
      expect plug-silent warning by +26m
      expect plug-silent likely
      expect probe-silent never
      expect heater-stuck-on unknown at +40m
    `);
  });

  it('is told after three of the intervals that the config tells', () => {
    play(`
      interval 600
      water  25 _x60
      expect probe-silent not before +30m
      expect probe-silent raised by +32m
      expect probe-silent certain
    `);
  });

  it('is told at once when its availability topic says so, but for a hiccup', () => {
    play(`
      usual 6 cycles
      gone heater at +10m
      water  25x30
      heater 0x10 _x20
      expect plug-silent raised by +12m
      expect plug-silent because gone
    `);
    play(`
      usual 6 cycles
      look every 10s
      gone heater at +10m
      on heater at +10m30s
      water  25x30
      heater 0x30
      expect plug-silent never
    `);
  });

  it('is back when it speaks, though it never says that it is back', () => {
    play(`
      usual 6 cycles
      gone heater at +10m
      water  25x60
      heater 0x10 _x10 0x40
      expect plug-silent raised by +12m
      expect plug-silent closed by +40m
    `);
  });

  it('has never been heard since the start: told after a grace', () => {
    play(`
      water  25x120
      heater _x120
      expect plug-silent not before +30m
      expect plug-silent raised by +35m
      expect plug-silent because never-heard
      expect plug-silent unknown at +20m
    `);
  });

  it('is not blamed for an outage of the broker', () => {
    play(`
      usual 6 cycles
      broker away +10m..+70m
      water  25x120
      heater 0x120
      room   20x120
      expect plug-silent never
      expect probe-silent never
      expect room-cooling never
      expect plug-silent unknown at +40m
      expect tank-too-warm unknown at +40m
      expect heater-not-heating unknown at +40m
      expect tank-too-warm quiet at +80m
    `);
  });

  it('speaks only on change: the longest silence it usually keeps is learned', () => {
    play(`
      reporting on-change
      every 5m
      look every 5m
      # 36 hours of cycles: on for 20 minutes, off and silent for 40
      heater ${'148 _x3 0 _x7 '.repeat(36)} _x60
      water  25x492
      expect plug-silent not before +2240m    # three times 40 minutes after its last word
      expect plug-silent raised by +2300m
      expect plug-silent possible
      expect plug-silent because silent-longer-than-ever
    `);
  });

  it('speaks only on change and its availability topic says it is there: never', () => {
    play(`
      reporting on-change
      every 5m
      look every 5m
      on heater at +0m
      heater ${'148 _x3 0 _x7 '.repeat(36)} _x60
      water  25x492
      expect plug-silent never
    `);
  });
});
