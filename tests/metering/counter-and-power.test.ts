import { describe, it } from 'vitest';
import { play } from './scenario.ts';

describe('a plug that reports power and a counter', () => {
  it('shows samples as integrated until the counter moves, then the exact difference as counted', () =>
    play(`
      from 12:00 every 10 s
        power   360x11
        counter 100x10 109
      at 12:01:30 counter 109   # late: the block above has gone to 12:01:40
      expect notes baseline, out-of-order
      expect in all counted 9 Wh covered 100 s drawing 100 s spread 0 Wh
      expect in all integrated 0 Wh covered 0 s drawing 0 s
      then every 10 s
        power   360x3
        counter 109x3
      expect in all counted 9 Wh
      expect in all integrated 3 Wh covered 30 s drawing 30 s
    `));

  it('gives the step of a coarse counter to the slots in which the samples were', () =>
    play(`
      from 12:00 every 1 min
        power   120x5 0x40 60x10 0x6
        counter 100x60 200
      expect at 12:00 counted 50 Wh spread 0 Wh covered 900 s drawing 300 s
      expect at 12:15 counted 0 Wh covered 900 s
      expect at 12:45 counted 50 Wh covered 900 s drawing 600 s
      expect in all counted 100 Wh covered 3600 s
      expect in all integrated 0 Wh covered 0 s
    `));

  it('brings a 5 W pump with steps of 0.1 kWh evenly into its twenty hours', () =>
    play(`
      from 00:00 every 5 min
        power   5x240 5
        counter 700x240 800
      expect at 00:00 counted 1.25 Wh spread 0 Wh covered 900 s drawing 900 s
      expect at 10:30 counted 1.25 Wh
      expect at 19:45 counted 1.25 Wh
      expect in all counted 100 Wh covered 72000 s drawing 72000 s
      expect in all integrated 0 Wh covered 0 s
    `));

  it('shares whole mWh without losing one', () =>
    play(`
      from 12:00 every 5 min
        power   7x9 7
        counter 100x9 100.1
      expect at 12:00 counted 0.033 Wh
      expect at 12:15 counted 0.034 Wh
      expect at 12:30 counted 0.033 Wh
    `));

  it('spreads a step over sampled time when every sample was nothing', () =>
    play(`
      from 12:00 every 5 min
        power   0x6 0
        counter 100x6 101
      expect at 12:00 counted 0.5 Wh spread 0.5 Wh covered 900 s drawing 0 s
      expect at 12:15 counted 0.5 Wh spread 0.5 Wh covered 900 s drawing 0 s
    `));

  it('holds the last power up to a counter reading that comes first', () =>
    play(`
      from 12:00 every 10 s
        counter 100 101
        power   360 360
      expect in all counted 1 Wh covered 10 s drawing 10 s
      expect in all integrated 0 Wh covered 0 s
    `));

  it('knows from counter readings that an unchanged power still holds', () =>
    play(`
      from 12:00 every 1 min
        power   60
        counter 100x60 160
      expect in all counted 60 Wh spread 0 Wh covered 3600 s drawing 3600 s
      expect notes baseline
    `));

  it('leaves to the samples what came before the first counter reading', () =>
    play(`
      at 12:00 power 60
      at 12:01 power 60
      at 12:02 counter 100
      at 12:03 counter 101
      expect in all integrated 2 Wh covered 120 s
      expect in all counted 1 Wh covered 60 s
    `));

  it('counts the time before the first sample, if the counter was there', () =>
    play(`
      at 12:00 counter 100
      at 12:05 power 60
      at 12:10 power 60
      at 12:10 counter 110
      expect in all counted 10 Wh covered 600 s
      expect in all integrated 0 Wh covered 0 s
    `));

  it('keeps the days of a switched-off lamp in one line of state, and counts them', () =>
    play(`
      from 00:00 every 5 min
        power   0x864 0
        counter 100x864 100.2
      expect at 00:00 counted 0.001 Wh covered 900 s
      expect in all counted 0.2 Wh spread 0.2 Wh covered 259200 s
      expect in all integrated 0 Wh covered 0 s
    `));

  it('tells slots of the same energy but different use apart', () =>
    play(`
      plug gap 10 min
      at 12:00 counter 100
      from 12:00 every 450 s
        power   8 8 16 0 8 8 8
      at 12:45 counter 106
      expect at 12:00 counted 2 Wh drawing 900 s
      expect at 12:15 counted 2 Wh drawing 450 s
      expect at 12:30 counted 2 Wh drawing 900 s
      expect in all integrated 0 Wh covered 0 s drawing 0 s
    `));

  it('lets samples stand that are a week older than the next step', () =>
    play(`
      from 00:00 every 5 min
        power   1x2304 1         # eight days of 1 W, 24 Wh a day
        counter 100x2304 292
      expect in all integrated 23.75 Wh covered 85500 s
      expect in all booked 192 Wh covered 691200 s
    `));
});

describe('a silence of a plug that has a counter', () => {
  it('stays bridged when it is a week older than the next step', () =>
    play(`
      plug bridged by last power
      at 00:00 counter 100
      at 00:00 power 1
      from 01:00 every 5 min
        power   1x2292 1           # to 192:00
      at 192:00 counter 293
      expect in all bridged 1 Wh covered 3600 s
      expect in all booked 193 Wh covered 691200 s
    `));

  it('is not booked twice where a sample came with a clock that was months ahead', () =>
    play(`
      at 12:00 counter 100
      at 12:00 power 60
      at 2412:00 power 60
      at 12:01 counter 101
      expect in all bridged 60 Wh covered 3600 s
      expect in all counted 0 Wh covered 0 s
      expect notes baseline, gap-bridged, clock-rebased
    `));

  it('leaves a few minutes their likely share, though the counter says a little more in all', () =>
    play(`
      plug bridged by last power
      from 12:00 every 1 min
        power   60x121           # 120 Wh
        counter 1000x121
      at 14:06 power 60          # bridged by 6 Wh
      at 14:06 counter 1132      # 6 Wh more than estimated
      expect at 14:00 counted 9.05 Wh
      expect at 13:00 counted 15.369 Wh
      expect in all counted 132 Wh covered 7560 s
    `));

  it('is bridged at first, and counted when the counter is heard', () =>
    play(`
      from 12:00 every 1 min
        power   100x15 0x45 100
        counter 100+0x60 125
      expect in all counted 25 Wh
      at 13:40 power 0
      expect in all bridged 16.667 Wh covered 2400 s
      at 13:40 counter 165
      expect in all counted 65 Wh covered 6000 s
      expect in all bridged 0 Wh covered 0 s drawing 0 s
      expect at 13:15 counted 15 Wh spread 15 Wh covered 900 s
      expect notes baseline, gap-bridged
    `));

  it('takes what the samples around it leave over', () =>
    play(`
      plug bridged by last power
      from 12:00 every 1 min
        power   60x15 60         # 15 Wh
        counter 1000x16
      at 12:30 power 60          # bridged by 15 Wh
      then every 1 min
        power   60x15
      at 12:45 counter 1100      # 55 Wh more than estimated
      expect at 12:00 counted 15.264 Wh spread 0 Wh
      expect at 12:15 counted 69.473 Wh covered 900 s
      expect in all counted 100 Wh covered 2700 s
      expect in all bridged 0 Wh covered 0 s
      expect notes baseline, gap-bridged
    `));

  it('is counted whole, however long', () =>
    play(`
      from 00:00 every 1 min
        power   60x3
        counter 100 101 102
      at 24:02 power 60
      expect in all bridged 60 Wh covered 3600 s
      at 24:02 counter 1542
      expect in all counted 1442 Wh covered 86520 s
      expect in all bridged 0 Wh covered 0 s
      expect at 12:00 counted 15 Wh spread 15 Wh covered 900 s
    `));

  it('is counted from the moment the plug went off the air', () =>
    play(`
      from 12:00 every 1 min
        power   60x3
        counter 100 101 102
      at 12:03 gone
      expect in all integrated 1 Wh
      at 12:30 counter 103.5
      at 12:30 power 60
      at 12:31 power 60
      at 12:31 counter 104.5
      expect in all counted 4.5 Wh covered 1860 s
      expect in all integrated 0 Wh covered 0 s
    `));

  it('stays bridged while a coarse counter has not moved', () =>
    play(`
      plug bridged by last power
      at 12:00 power 5
      at 12:00 counter 100
      at 12:20 power 5
      at 12:20 counter 100
      expect in all bridged 1.667 Wh covered 1200 s
      expect in all counted 0 Wh covered 0 s
    `));
});

describe('a counter that cannot be believed, with samples beside it', () => {
  it('leaves the samples in place until it is clear', () =>
    play(`
      from 12:00 every 1 min
        power   60x7
        counter 1000 1001 5
      expect in all counted 1 Wh
      expect in all integrated 5 Wh covered 300 s
      at 12:06 counter 1006
      expect in all counted 6 Wh covered 360 s
      expect in all integrated 0 Wh covered 0 s
      expect notes baseline, drop-suspected, drop-glitch
    `));

  it('books a restarted count in place of the samples since', () =>
    play(`
      from 12:00 every 1 min
        power   60x5
        counter 1000 1001 0.5 1.5 2.5
      expect in all counted 3.5 Wh covered 240 s
      expect in all integrated 0.5 Wh covered 0 s    # drawn before the restart, and lost to the counter
      expect notes baseline, drop-suspected, counter-reset
    `));

  it('keeps the samples of the time that a roll-back says nothing about', () =>
    play(`
      from 12:00 every 1 min
        power   60x5
        counter 1000 1001 990 991 992
      expect in all counted 3 Wh covered 180 s
      expect in all integrated 1 Wh covered 60 s
      expect notes baseline, drop-suspected, counter-rolled-back
    `));

  it('counts all that was sampled while it was under suspicion', () =>
    play(`
      from 12:00 every 1 min
        power   60x42
        counter 1000 99000 _x39 99040
      expect in all integrated 1 Wh covered 60 s
      expect in all counted 40 Wh covered 2400 s
      expect at 12:15 counted 15 Wh spread 0 Wh
      expect notes baseline, leap-suspected, leap-rebased
    `));

  it('tells the slots before a suspicion from equal ones after it', () =>
    play(`
      from 12:00 every 1 min
        power   60x61
        counter 1000 _x29 99000 _x29 99030
      expect in all integrated 30 Wh covered 1800 s
      expect in all counted 30 Wh covered 1800 s
      expect at 12:45 counted 15 Wh
    `));

  it('tells them apart even when the first are too old to keep', () =>
    play(`
      from 00:00 every 5 min
        power   1+0.001x2304
        counter 1000 _x863 9e6 _x1438 9000300
      expect in all counted 300 Wh covered 431700 s
      expect in all integrated 103.068 Wh covered 259200 s
    `));

  it('keeps the samples of the time of a leap', () =>
    play(`
      from 12:00 every 1 min
        power   60x5
        counter 1000 1001 99000 99001 99002
      restart
      expect in all counted 3 Wh covered 180 s
      expect in all integrated 1 Wh covered 60 s
      expect notes baseline, leap-suspected, leap-rebased
    `));
});
