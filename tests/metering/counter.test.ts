import { describe, it } from 'vitest';
import { play } from './scenario.ts';

describe('a plug that reports only its counter', () => {
  it('books the exact difference between two readings', () =>
    play(`
      from 12:00 every 1 min
        counter 100 101 101 103.4567
      expect in all counted 3.457 Wh covered 180 s spread 0 Wh   # positions 100.000 and 103.457
      expect notes baseline
    `));

  it('spreads evenly over the time between, and marks what crosses a slot', () =>
    play(`
      from 12:10 every 20 min
        counter 100 104 104.5
      expect at 12:00 counted 1 Wh spread 1 Wh covered 300 s
      expect at 12:15 counted 3 Wh spread 3 Wh covered 900 s
      expect at 12:30 counted 0.375 Wh spread 0.375 Wh
      expect at 12:45 counted 0.125 Wh spread 0.125 Wh covered 300 s drawing 0 s
      expect in all counted 4.5 Wh drawing 1200 s
    `));

  it('loses nothing over days of silence and a restart', () =>
    play(`
      at 00:00 counter 5000
      restart
      at 72:00 counter 12200
      expect in all counted 7200 Wh spread 7200 Wh covered 259200 s
      expect at 30:00 counted 25 Wh
      expect notes baseline
    `));

  it('adds up without drift when its unit is no whole mWh', () =>
    play(`
      from 12:00 every 10 s
        counter 0.000278+0.000278x360          # 1 Ws a reading
      expect in all counted 0.1 Wh covered 3590 s
    `));

  it('places a step between two readings of one instant', () =>
    play(`
      at 12:00 counter 10
      at 12:15 counter 11
      at 12:15 counter 11.5
      expect at 12:00 counted 1.5 Wh covered 900 s
      expect at 12:15 nothing
    `));

  it('takes a retained value as a first baseline and never again', () =>
    play(`
      at 12:00 retained counter 10
      at 12:01 counter 11
      at 12:02 retained counter 12
      at 12:02:30 counter 11.5
      expect in all counted 1.5 Wh covered 150 s
      expect notes baseline, retained-ignored
    `));

  it('does not book what a retained value missed before the program started', () =>
    play(`
      at 12:00:00 retained counter 10
      at 12:00:10 counter 90
      at 12:00:20 counter 90.5
      expect in all counted 0.5 Wh covered 10 s
      expect notes baseline, leap-suspected, leap-rebased
    `));

  it('counts coarse steps after a retained first value', () =>
    play(`
      at 12:00:00 retained counter 100
      from 12:00:10 every 10 s
        counter 100x9 200x10 300
      expect in all counted 200 Wh covered 200 s
      expect notes baseline
    `));

  it('counts coarse steps after a retained first value that was old', () =>
    play(`
      at 12:00:00 retained counter 100
      from 12:00:10 every 10 s
        counter 200x10 300x10 400
      expect in all counted 200 Wh covered 200 s
      expect notes baseline, leap-suspected, leap-rebased
    `));

  it('drops late and repeated readings', () =>
    play(`
      at 12:00 counter 10
      at 12:02 counter 12
      at 12:02 counter 12
      at 12:01 counter 11
      at 12:03 counter 13
      expect in all counted 3 Wh covered 180 s
      expect notes baseline, duplicate, out-of-order
    `));
});

describe('a counter that falls', () => {
  it('is not believed for one low reading', () =>
    play(`
      from 12:00 every 1 min
        counter 100 101 0 103 104
      expect in all counted 4 Wh covered 240 s
      expect notes baseline, drop-suspected, drop-glitch
    `));

  it('is not confirmed by the same reading delivered again', () =>
    play(`
      from 12:00 every 1 min
        counter 100 101 0
      at 12:02 counter 0
      at 12:03 counter 103
      expect in all counted 3 Wh
      expect notes baseline, drop-suspected, duplicate, drop-glitch
    `));

  it('has started again when a second low reading confirms it', () =>
    play(`
      from 12:00 every 1 min
        counter 1000 1001 0.5 1.5 2.5
      expect in all counted 3.5 Wh covered 240 s
      expect notes baseline, drop-suspected, counter-reset
    `));

  it('is confirmed by a second reading that has not moved', () =>
    play(`
      from 12:00 every 1 min
        counter 1000 0 0 0
      expect in all counted 0 Wh covered 180 s
      expect notes baseline, drop-suspected, counter-reset
    `));

  it('keeps its suspicion through a restart of the program', () =>
    play(`
      from 12:00 every 1 min
        counter 1000 0.5
      restart
      then every 1 min
        counter 1.5
      expect in all counted 1.5 Wh covered 120 s
      expect notes baseline, drop-suspected, counter-reset
    `));

  it('has a hole in its coverage when it started again during a long silence', () =>
    play(`
      at 06:00 counter 1000
      at 12:00 counter 3
      at 12:01 counter 4
      expect in all counted 4 Wh spread 3 Wh covered 60 s
      expect notes baseline, drop-suspected, counter-reset
    `));

  it('has a hole only up to its midnight when it started again between two of its usual reports', () =>
    play(`
      plug restarting at-midnight
      from 22:10 every 15 min
        counter 10 11 12 13 14 15 16 17 1 2
      expect in all counted 9 Wh covered 7800 s
      expect at 23:45 counted 0.667 Wh covered 600 s     # what came before midnight nobody counted
      expect at 24:00 counted 1.2 Wh
      expect notes baseline, drop-suspected, counter-reset
    `));

  it('has rolled back when it fell a little, and goes on from there', () =>
    play(`
      from 12:00 every 1 min
        counter 1000 1001 995 996 997
      expect in all counted 3 Wh covered 180 s
      expect notes baseline, drop-suspected, counter-rolled-back
    `));

  it('has rolled back even from a low value to one that could have been drawn since', () =>
    play(`
      from 12:00 every 1 min
        counter 6 7 5 6
      expect in all counted 2 Wh covered 120 s
      expect notes baseline, drop-suspected, counter-rolled-back
    `));

  it('was replaced when the new value is more than could have been drawn', () =>
    play(`
      from 12:00 every 1 min
        counter 90000 90001 7000 7001
      expect in all counted 2 Wh covered 120 s
      expect notes baseline, drop-suspected, counter-rolled-back
    `));

  it('suspects afresh when the second reading fits neither', () =>
    play(`
      from 12:00 every 1 min
        counter 50000 3 20000 50001
      expect in all counted 1 Wh covered 180 s
      expect notes baseline, drop-suspected, drop-suspected, drop-glitch
    `));

  it('restarts at midnight with a value a tenth of the old or more', () =>
    play(`
      plug restarting at-midnight
      from 23:50 every 5 min
        counter 6 7 4 5 6
      expect in all counted 7 Wh covered 1200 s
      expect at 24:00 counted 2 Wh
      expect notes baseline, drop-suspected, counter-reset
    `));

  it('wraps at its stated width', () =>
    play(`
      plug wrapping at 10000 Wh
      from 12:00 every 1 min
        counter 9998 9999.5 0.5 2
      expect in all counted 4 Wh covered 180 s
      expect notes baseline, drop-suspected, counter-wrapped
    `));

  it('does not wrap from the middle of its width', () =>
    play(`
      plug wrapping at 10000 Wh
      from 12:00 every 1 min
        counter 4000 3990 3991
      expect in all counted 1 Wh covered 60 s
      expect notes baseline, drop-suspected, counter-rolled-back
    `));
});

describe('a counter that leaps', () => {
  it('is not believed for one high reading', () =>
    play(`
      from 12:00 every 10 s
        counter 1000 1001 1002000 1003 1004
      expect in all counted 4 Wh covered 40 s
      expect notes baseline, leap-suspected, leap-glitch
    `));

  it('has a new baseline when a second reading agrees, and the leap is booked nowhere', () =>
    play(`
      from 12:00 every 10 s
        counter 1000 1001 9000 9001 9002
      expect in all counted 3 Wh covered 30 s
      expect notes baseline, leap-suspected, leap-rebased
    `));

  it('may step coarsely', () =>
    play(`
      plug limit 100 W
      from 12:00 every 10 s
        counter 1000x10 1100x10 1200x10 1300
      expect in all counted 300 Wh covered 300 s
      expect notes baseline
    `));

  it('may make the same step again in no time', () =>
    play(`
      at 12:00:00 counter 40000.1
      at 12:00:00 counter 40000.2
      at 12:00:00 counter 40000.3
      at 12:00:00 counter 40000.4
      expect in all counted 0.3 Wh
      expect notes baseline
    `));

  it('is measured against the smallest step it made, not the last', () =>
    play(`
      plug limit 100 W
      at 12:00:00 counter 100
      at 12:00:10 counter 100.1
      at 13:00:00 counter 150
      at 13:00:10 counter 195
      at 13:00:20 counter 150.1
      expect in all counted 50.1 Wh
      expect notes baseline, leap-suspected, leap-glitch
    `));

  it('may refresh more seldom than it is sent', () =>
    play(`
      from 12:00 every 10 s
        counter 1000 1002x30 1150x30 1300x30 1450
      expect in all counted 450 Wh covered 910 s
      expect notes baseline
    `));

  it('beyond all counting is not even suspected twice', () =>
    play(`
      from 12:00 every 10 s
        counter 1000 1e300 1e300 1001
      expect in all counted 1 Wh covered 30 s
      expect notes baseline, leap-suspected, leap-suspected
    `));
});

describe('what a broker kept and delivers at once', () => {
  it('may use the time of the silence before it', () =>
    play(`
      from 12:00 every 10 s
        counter 1000 1000.01 1000.8
      at 13:00:00 counter 1001.6
      then every 0.002 s
        counter 1002.4+0.8x350
      then every 10 s
        counter 1282.4 1283.2
      expect in all counted 283.2 Wh
      expect notes baseline
    `));

  it('is as before when its broker is slow', () =>
    play(`
      from 12:00 every 10 s
        counter 1000 1000.01 1000.8
      at 13:00:00 counter 1001.6
      then every 2 s
        counter 1010+8x20
      expect in all counted 162 Wh
      expect notes baseline
    `));

  it('may not use more than that time', () =>
    play(`
      from 12:00 every 10 s
        counter 1000 1000.01 1000.8
      at 12:10:00 counter 1001.6
      then every 0.002 s
        counter 1300 1800 1801
      then every 10 s
        counter 1801
      expect in all counted 300 Wh
      expect notes baseline, leap-suspected, leap-suspected, leap-rebased
    `));

  it('gives no more time to a plug that speaks every second', () =>
    play(`
      at 11:00:00 counter 999
      from 12:00 every 1 s
        counter 1000+0.01x120 1101.19 1101.2
      expect in all counted 2.2 Wh
      expect notes baseline, leap-suspected, leap-rebased
    `));

  it('is not taken for a roll-back when some of it had been taken in already', () =>
    play(`
      from 12:00 every 10 s
        counter 1000+0.5x8
      restart
      then every 0.003 s
        counter 1001.5 1002 1002.5 1003 1003.5 1004
      then every 10 s
        counter 1004.5
      expect in all counted 4.5 Wh
      expect notes baseline, drop-suspected, drop-suspected, drop-glitch
    `));
});
