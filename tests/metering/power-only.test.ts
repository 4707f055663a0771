import { describe, it } from 'vitest';
import { play } from './scenario.ts';

describe('a plug that reports only power', () => {
  it('holds each power until the next one', () =>
    play(`
      from 12:00 every 10 s
        power 360x30 0
      expect at 12:00 integrated 30 Wh covered 300 s drawing 300 s spread 0 Wh
      then every 1 min
        power 0x5
      expect at 12:00 integrated 30 Wh covered 600 s drawing 300 s
      expect notes none
    `));

  it('draws lines between samples where the plug samples at intervals', () =>
    play(`
      plug at intervals, drawing above 5 W
      from 12:00 every 1 min
        power 0 60 60 0
      expect in all integrated 2 Wh covered 180 s drawing 170 s
    `));

  it('cuts at slot boundaries, a line at the power it has there', () =>
    play(`
      plug at intervals
      from 12:14 every 2 min
        power 0 120
      expect at 12:00 integrated 0.5 Wh covered 60 s
      expect at 12:15 integrated 1.5 Wh covered 60 s
    `));

  it('drifts by less than a mWh in a day of awkward numbers', () =>
    play(
      `
      from 00:00 every 7 s
        power 1.1x12344
      expect in all integrated 26.402 Wh covered 86401 s   # 1.1 W for 86401 s is 26.4003 Wh
    `.replace('26.402', '26.4'),
    ));

  it('bridges a silence of a thermostat by its mean power and duty', () =>
    play(`
      from 12:00 every 1 min
        power 100x15 0x45 100
      expect in all integrated 25 Wh covered 3600 s drawing 900 s
      at 13:30 power 0
      expect in all bridged 12.5 Wh covered 1800 s drawing 450 s
      expect at 13:15 bridged 6.25 Wh covered 900 s
      expect notes gap-bridged
    `));

  it('bridges a silence of a steady load by its last power', () =>
    play(`
      plug bridged by last power
      from 12:00 every 1 min
        power 20x59 12
      at 13:29 power 20
      expect in all bridged 6 Wh covered 1800 s drawing 1800 s
    `));

  it('books nothing after an hour of silence', () =>
    play(`
      plug bridged by last power
      from 12:00 every 1 min
        power 12x2
      at 16:01 power 12
      expect in all bridged 12 Wh covered 3600 s
      expect at 13:00 bridged 0.2 Wh covered 60 s
      expect at 13:15 nothing
      expect notes gap-bridged, gap-unknown
    `));

  it('takes a silence of exactly the longest gap for a held value', () =>
    play(`
      plug gap 10 min
      at 12:00 power 60
      at 12:10 power 60
      expect in all integrated 10 Wh
      at 12:20:00.001 power 60
      expect in all integrated 10 Wh
      expect in all bridged 10 Wh
    `));

  it('learns a slow habit after a few reports, and a fast one again', () =>
    play(`
      from 00:00 every 10 s
        power 60x30
      then every 20 min
        power 60x8
      expect notes gap-bridged, gap-bridged, gap-bridged, gap-bridged
      then every 20 min
        power 60x8
      expect notes none
      then every 10 s
        power 60x100
      then every 20 min
        power 60x2
      expect notes gap-bridged, gap-bridged
    `));

  it('learns nothing from a burst of readings', () =>
    play(`
      from 00:00 every 20 min
        power 60x8
      then every 0.1 s
        power 60+1x40
      then every 20 min
        power 60x3
      expect notes gap-bridged
    `));

  it('never learns to hold a power for hours', () =>
    play(`
      from 00:00 every 5 h
        power 60x12
      expect in all integrated 0 Wh covered 0 s
      expect in all bridged 660 Wh
    `));

  it('does not take its time off the air for a habit', () =>
    play(`
      from 12:00 every 1 min
        power 60x2
      at 12:02 gone
      at 13:02 power 60
      at 13:03 gone
      at 14:03 power 60
      at 14:04 gone
      at 15:04 power 60
      expect notes gap-unknown, gap-unknown, gap-unknown
      at 15:12 power 60
      expect notes gap-bridged
    `));

  it('is not ended by a late word that it had gone', () =>
    play(`
      from 12:00 every 1 min
        power 60x3
      at 12:01:30 gone
      at 12:03 power 60
      expect in all integrated 3 Wh covered 180 s
    `));

  it('ends the hold when the plug goes off the air', () =>
    play(`
      plug bridged by last power
      at 12:00 power 60
      at 12:01 gone
      at 12:10 back
      at 12:10 power 60
      at 12:11 power 60
      expect at 12:00 integrated 2 Wh covered 120 s
      expect notes gap-unknown
    `));

  it('is not brought back by a sample from before it went', () =>
    play(`
      at 12:00 power 60
      at 12:02 gone
      at 12:00 power 60
      at 12:01 power 60
      at 12:05 power 60
      expect in all booked 2 Wh covered 120 s
      expect notes duplicate, gap-unknown
    `));

  it('takes a reading twice for one, and of two at the same time the last', () =>
    play(`
      at 12:00:00 power 10
      at 12:00:00 power 10
      expect notes duplicate
      at 12:00:00 power 3600
      at 12:00:00 power 360
      at 12:00:10 power 0
      expect in all booked 1 Wh covered 10 s
      expect notes none
    `));

  it('drops what comes too late', () =>
    play(`
      at 12:00:00 power 360
      at 12:00:20 power 0
      at 12:00:10 power 3600
      at 12:01:20 power 0
      expect in all booked 2 Wh covered 80 s
      expect notes out-of-order
    `));

  it('ignores retained values, and power beyond what the plug can carry', () =>
    play(`
      plug limit 1000 W
      at 11:00 retained power 360
      at 12:00:00 power 360
      at 12:00:05 power 1201
      at 12:00:10 power 0
      expect in all booked 1 Wh covered 10 s
      expect notes over-limit
    `));

  it('takes power sent backwards for none', () =>
    play(`
      at 12:00:00 power -40
      at 12:01:00 power 60
      at 12:02:00 power 60
      expect in all booked 1 Wh covered 120 s
      expect notes negative-power
    `));

  it('does not stay deaf when its clock was ahead and is set back', () =>
    play(`
      at 36:00 power 60         # a day ahead
      at 12:01 power 60
      at 12:10 power 60
      at 12:15:59 power 60
      expect notes out-of-order, out-of-order, out-of-order
      at 12:16 power 60
      expect notes clock-rebased
      at 12:17 power 60
      expect in all booked 1 Wh covered 60 s
    `));

  it('measures how long it was behind by arrivals after the clock was set', () =>
    play(`
      at 36:00 power 60
      arriving 30:00 stamped 11:00 power 60
      arriving 12:00 stamped 12:00 power 60
      arriving 12:10 stamped 12:10 power 60
      expect notes out-of-order, out-of-order, out-of-order
      arriving 12:15 stamped 12:15 power 60
      expect notes clock-rebased
    `));

  it('needs more than two readings to believe that', () =>
    play(`
      at 12:00 power 60
      arriving 12:00 stamped 11:30 power 60
      arriving 12:20 stamped 11:40 power 60
      expect notes out-of-order, out-of-order
    `));

  it('stays with the newer readings when older ones are only a straggling few', () =>
    play(`
      at 12:00 power 60
      arriving 12:00:01 stamped 11:30 power 9
      at 12:01 power 60
      arriving 12:20:00 stamped 11:31 power 9
      arriving 12:20:01 stamped 11:32 power 9
      at 12:02 power 60
      expect notes out-of-order, out-of-order, out-of-order
      expect in all booked 2 Wh covered 120 s
    `));
});
