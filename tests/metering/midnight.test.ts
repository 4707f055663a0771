import { describe, it } from 'vitest';
import { play } from './scenario.ts';

describe('a counter that restarts at its own midnight', () => {
  it('shows what was drawn since then, even where that is more than it was before', () =>
    play(`
      plug restarting at-midnight
      at 20:00 counter 300
      at 23:00 counter 320
      at 31:00 counter 400            # 07:00 of the next day
      expect in all counted 420 Wh covered 36000 s
      expect at 23:00 nothing         # nobody counted the last hour of the day
      expect at 24:00 counted 14.286 Wh covered 900 s
      expect notes baseline, counter-reset
    `));

  it('waits for a second reading where it fell over a night, as a single one may be a glitch', () =>
    play(`
      plug restarting at-midnight
      at 22:00 counter 300
      at 31:00 counter 70
      expect in all counted 0 Wh
      at 32:00 counter 80
      expect in all counted 80 Wh covered 28800 s
      expect notes baseline, drop-suspected, counter-reset, gap-unknown
    `));

  it('is not led astray by a first reading of the day that is a glitch', () =>
    play(`
      plug restarting at-midnight
      at 22:00 counter 3000
      at 31:00 counter 0
      at 31:01 counter 700
      at 31:02 counter 701
      expect in all counted 701 Wh covered 25320 s
      expect notes baseline, drop-suspected, counter-reset, gap-unknown
    `));

  it('goes on where it was seen shortly after midnight and did not fall', () =>
    play(`
      plug restarting at-midnight
      at 23:50 counter 0.5
      at 24:03 counter 20             # it restarted meanwhile, and has outgrown its old count
      at 25:00 counter 60
      expect in all counted 59.5 Wh
      expect notes baseline
    `));

  it('leaves the days that were lost in between missing', () =>
    play(`
      plug restarting at-midnight
      at 12:00 counter 300
      at 84:00 counter 500            # noon, three days later
      expect in all counted 500 Wh covered 43200 s
      expect at 60:00 nothing
      expect at 72:00 counted 10.417 Wh
      expect notes baseline, counter-reset, gap-unknown
    `));

  it('has its midnight in the zone of its own clock', () =>
    play(`
      plug restarting at-midnight in America/Winnipeg
      at 04:00 counter 300            # 22:00 in Winnipeg
      at 12:00 counter 360            # 06:00: it restarted at 06:00 UTC
      expect in all counted 360 Wh covered 21600 s
      expect at 05:45 nothing
      expect at 06:00 counted 15 Wh
      expect notes baseline, counter-reset, gap-unknown
    `));

  it('counts through the midnights of other zones', () =>
    play(`
      plug restarting at-midnight in America/Winnipeg
      at 20:00 counter 300
      at 29:00 counter 360            # 23:00 in Winnipeg
      expect in all counted 60 Wh covered 32400 s
      expect notes baseline
    `));

  it('keeps what was sampled before midnight, and counts what came after', () =>
    play(`
      plug restarting at-midnight, gap 10 min
      from 23:00 every 5 min
        power   60x25
        counter 1000x12 3x12 64       # coarse: it moves once in the second hour
      expect in all integrated 57 Wh covered 2700 s
      expect in all counted 64 Wh covered 4500 s
      expect at 23:45 integrated 12 Wh      # its clock is ahead: 3 Wh of this were counted anew
      expect at 24:45 counted 15.25 Wh covered 900 s
      expect notes baseline, drop-suspected, counter-reset
    `));

  it('withdraws from a bridged midnight only what comes after', () =>
    play(`
      plug restarting at-midnight, bridged by last power
      at 23:40 counter 100
      at 23:40 power 61
      at 24:20 power 61
      expect in all bridged 40.666 Wh covered 2400 s
      at 24:20 counter 20
      at 24:20:10 counter 20.1
      expect in all bridged 20.333 Wh covered 1200 s
      expect in all counted 20.1 Wh covered 1210 s
      expect notes baseline, gap-bridged, drop-suspected, counter-reset
    `));

  it('may have a clock that is ahead of ours by minutes', () =>
    play(`
      plug restarting at-midnight
      from 23:50 every 1 min
        counter 300 301 302 0.5 1.5
      at 31:00 counter 90
      expect in all counted 92 Wh
      expect notes baseline, drop-suspected, counter-reset
    `));

  it('may have a clock that is behind ours by minutes', () =>
    play(`
      plug restarting at-midnight
      from 23:58 every 1 min
        counter 300 301 302 303 304 0.5 1.5
      at 31:00 counter 90
      expect in all counted 94 Wh
      expect notes baseline, drop-suspected, counter-reset
    `));

  it('is not taken to have restarted where it goes on as before', () =>
    play(`
      plug restarting at-midnight
      from 23:00 every 1 min
        counter 2000+1x180            # its clock is of another zone than told
      expect in all counted 179 Wh
      expect notes baseline
    `));

  it('is suspect where it falls far from midnight', () =>
    play(`
      plug restarting at-midnight
      from 12:00 every 1 min
        counter 600 601 300 602
      expect in all counted 2 Wh
      expect notes baseline, drop-suspected, drop-glitch
    `));

  it('has rolled back where it falls a little far from midnight', () =>
    play(`
      plug restarting at-midnight
      from 12:00 every 1 min
        counter 60 61 30 31
      expect in all counted 2 Wh
      expect notes baseline, drop-suspected, counter-rolled-back
    `));

  it('has lost its power where it falls to nothing far from midnight', () =>
    play(`
      plug restarting at-midnight
      from 12:00 every 1 min
        counter 600 601 2 3
      expect in all counted 4 Wh
      expect notes baseline, drop-suspected, counter-reset
    `));

  it('is not believed after a night where it shows more than the plug can carry', () =>
    play(`
      plug restarting at-midnight, limit 100 W
      at 23:00 counter 3000
      at 25:00 counter 900
      at 25:01 counter 900.5
      expect in all counted 0.5 Wh covered 60 s
      expect notes baseline, drop-suspected, counter-rolled-back, gap-unknown
    `));

  it('does not restart twice when the program restarts', () =>
    play(`
      plug restarting at-midnight
      at 23:00 counter 300
      at 25:00 counter 30
      restart
      at 26:00 counter 60
      restart
      at 27:00 counter 90
      expect in all counted 90 Wh
      expect notes baseline, drop-suspected, counter-reset
    `));
});
