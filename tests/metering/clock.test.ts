import { describe, it } from 'vitest';
import { play } from './scenario.ts';

describe('a clock that is set back', () => {
  it('by more than 15 minutes loses nothing of what the counter counts', () =>
    play(`
      from 36:00 every 1 min
        counter 100 101
      arriving 12:00 stamped 12:00 counter 102
      arriving 12:10 stamped 12:10 counter 103
      expect in all counted 1 Wh
      arriving 12:20 stamped 12:20 counter 104
      expect at 12:00 counted 2.25 Wh
      expect at 12:15 counted 0.75 Wh
      at 12:30 counter 105
      expect in all counted 5 Wh
      expect notes baseline, out-of-order, out-of-order, clock-rebased
    `));

  it('in the plug alone spreads it over the time that has passed by arrivals', () =>
    play(`
      arriving 36:00 stamped 36:00 counter 100
      arriving 37:00 stamped 12:00 counter 110
      arriving 38:00 stamped 13:00 counter 120
      arriving 40:00 stamped 15:00 counter 140
      expect at 14:45 counted 2.5 Wh
      expect at 11:00 counted 2.5 Wh     # 36:00 was 11:00 by the clock that now holds
      expect at 10:45 nothing
      expect in all counted 40 Wh spread 40 Wh
      expect notes baseline, out-of-order, out-of-order, clock-rebased
    `));

  it('by less loses nothing either, though much comes in little time', () =>
    play(`
      plug limit 1000 W
      from 12:00 every 10 s
        counter 100+2x60
      at 12:05 counter 220
      at 12:09:40 counter 276
      at 12:10 counter 280
      expect in all counted 180 Wh
      expect notes baseline, out-of-order, out-of-order
    `));

  it('leaves what was booked under the wrong time, and does not book it twice', () =>
    play(`
      from 36:00 every 1 min
        power   60x11
        counter 100x11                     # 10 Wh sampled that a coarse counter has not shown
      arriving 12:00 stamped 12:00 counter 100
      arriving 12:10 stamped 12:10 counter 100
      arriving 12:20 stamped 12:20 counter 130
      expect in all integrated 10 Wh covered 600 s
      expect in all counted 20 Wh
      expect in all booked 30 Wh
      at 13:00 counter 140
      expect in all booked 40 Wh
    `));

  it('owes the counter what was booked beyond it', () =>
    play(`
      from 36:00 every 1 min
        power   60x11
        counter 100x11
      arriving 12:00 stamped 12:00 counter 100
      arriving 12:10 stamped 12:10 counter 100
      arriving 12:20 stamped 12:20 counter 104
      expect in all booked 10 Wh
      at 12:30 counter 112
      expect in all booked 12 Wh
    `));

  it('is owed across the width of the counter, too', () =>
    play(`
      plug wrapping at 1000 Wh
      from 36:00 every 1 min
        power   60x11
        counter 998x11
      from 12:00 every 10 min
        counter 998 998 998 1 2 20
      expect in all booked 22 Wh
      expect in all integrated 10 Wh
    `));

  it('gives the counter its due though a power sample came first', () =>
    play(`
      from 36:00 every 1 min
        power   60x2
        counter 100 101
      arriving 12:00 stamped 12:00 power 60
      arriving 12:10 stamped 12:10 power 60
      arriving 12:20 stamped 12:20 power 60
      expect notes baseline, out-of-order, out-of-order, clock-rebased
      arriving 12:20 stamped 12:20 counter 122
      expect in all counted 22 Wh
      expect in all integrated 0 Wh
    `));

  it('books nothing that the plug cannot have carried meanwhile', () =>
    play(`
      plug limit 100 W
      from 36:00 every 1 min
        counter 100 101
      arriving 12:00 stamped 12:00 counter 9000
      arriving 12:10 stamped 12:10 counter 9001
      arriving 12:20 stamped 12:20 counter 9002
      at 12:30 counter 9003
      expect in all counted 2 Wh
      expect notes baseline, out-of-order, out-of-order, clock-rebased, leap-suspected, leap-rebased, gap-unknown
    `));

  it('is not seen in a few stragglers with a first reading in between', () =>
    play(`
      at 12:00 power 60
      arriving 12:01 stamped 11:59 power 61
      at 13:00 counter 100
      arriving 13:01 stamped 12:59 counter 99
      arriving 13:02 stamped 12:59 counter 98
      at 13:03 counter 101
      expect in all counted 1 Wh
      expect notes out-of-order, gap-bridged, baseline, out-of-order, out-of-order
    `));

  it('is no reason to believe that a counter fell', () =>
    play(`
      from 36:00 every 1 min
        counter 100 101
      arriving 12:00 stamped 12:00 counter 102
      arriving 12:10 stamped 12:10 counter 102
      arriving 12:20 stamped 12:20 counter 0
      at 12:30 counter 105
      expect in all counted 5 Wh
      expect notes baseline, out-of-order, out-of-order, clock-rebased, drop-suspected, drop-glitch
    `));
});

describe('a clock that leaps ahead by months', () => {
  it('books in the slot of arrival what may have been drawn while it was set', () =>
    play(`
      at 12:00 counter 10
      at 2000:00:10 counter 11
      at 2000:10:10 counter 12
      expect at 2000:00 counted 2 Wh covered 600 s
      expect in all counted 2 Wh
      expect notes baseline, clock-rebased
    `));

  it('in the plug alone books it in the time that has passed by arrivals', () =>
    play(`
      arriving 2000:00 stamped 12:00 counter 10
      arriving 2001:00 stamped 2001:00 counter 50
      expect at 2000:00 counted 10 Wh covered 900 s
      expect in all counted 40 Wh covered 3600 s
      expect notes baseline, clock-rebased
    `));

  it('is no leap where more was counted than a few minutes allow: then time has passed', () =>
    play(`
      at 00:00 counter 10
      at 2400:00 counter 240010       # a hundred days at 100 W
      expect in all counted 240000 Wh spread 240000 Wh covered 8640000 s
      expect at 1200:00 counted 25 Wh
      expect notes baseline
    `));

  it('books nothing where nothing plausible can be said', () =>
    play(`
      plug limit 100 W
      at 00:00 counter 10
      at 2400:00 counter 9e6
      at 2400:10 counter 9000001
      expect in all counted 1 Wh covered 600 s
      expect notes baseline, leap-suspected, leap-rebased, gap-unknown
    `));

  it('books nothing where years have passed and nobody knows how many', () =>
    play(`
      at 00:00 counter 10
      at 480000:00 counter 99000      # boards without a clock begin at 1970
      at 480000:10 counter 99001
      expect in all counted 1 Wh covered 600 s
      expect notes baseline, clock-rebased, leap-suspected, leap-rebased
    `));
});
