import { describe, it } from 'vitest';
import { play } from './scenario.ts';

describe('a counter that sticks though energy flows', () => {
  it('is recognized once, and what was sampled stands', () =>
    play(`
      from 00:00 every 1 min
        power   60x1440
        counter 100 101 102 _ 102x1436
      expect notes baseline, counter-stuck
      expect in all counted 2 Wh
      expect in all integrated 1437 Wh covered 86220 s
    `));

  it('is not booked twice when it begins to move again', () =>
    play(`
      from 00:00 every 1 min
        power   60x721
        counter 100 102x720           # 2 Wh counted, 719 sampled
        then every 1 min
        power   60x10
        counter 103 104 105 106 107 108 109 110 111 112
      expect notes baseline, counter-stuck, counter-moving
      expect in all integrated 720 Wh
      expect in all counted 11 Wh
    `));

  it('may have counted all along: then only what is beyond the samples is booked', () =>
    play(`
      from 00:00 every 1 min
        power   60x721
        counter 100 102x720
      at 12:01 power 60
      at 12:01 counter 900            # 798 Wh, of which 720 stand
      expect notes baseline, counter-stuck, counter-moving
      expect in all integrated 720 Wh
      expect in all counted 80 Wh
      at 12:02 counter 901
      expect in all booked 801 Wh
    `));

  it('is not stuck where it only steps coarsely', () =>
    play(`
      from 00:00 every 5 min
        power   5x480
        counter 100x240 200x240
      expect notes baseline
    `));

  it('is not stuck where it has shown no step yet and little was drawn', () =>
    play(`
      from 00:00 every 1 min
        power   60x480
        counter 100x480
      expect notes baseline
      then every 1 min
        power   60x60
        counter 100x60
      expect notes counter-stuck
    `));

  it('is not stuck where a load after a long rest has not been refreshed yet', () =>
    play(`
      from 00:00 every 1 min
        power   0x420 4000x14
        counter 100x434
      at 07:15 power 4000
      at 07:15 counter 100
      at 07:16 counter 1166
      expect notes baseline
      expect in all counted 1066 Wh covered 26160 s
    `));

  it('is not stuck where one sample is all that speaks against it', () =>
    play(`
      from 00:00 every 1 min
        power   2000
        counter 100x600
      at 10:00 power 0
      at 10:00 counter 101
      expect in all counted 1 Wh
      expect in all integrated 0 Wh
      expect notes baseline
    `));

  it('is not stuck where it is only not heard', () =>
    play(`
      at 00:00 counter 100
      from 00:00 every 1 min
        power   60x1440
      at 24:00 counter 1540
      expect in all counted 1440 Wh
      expect in all integrated 0 Wh
      expect notes baseline
    `));

  it('stays stuck over a glitch and a restart of the program', () =>
    play(`
      from 00:00 every 1 min
        power   60x720
        counter 100 102x719
      restart
      then every 1 min
        power   60x3
        counter 5 102 102
      expect in all integrated 721 Wh
      then every 1 min
        power   60
        counter 103
      expect in all integrated 722 Wh
      expect in all counted 2 Wh
      expect notes baseline, counter-stuck, drop-suspected, drop-glitch, counter-moving
    `));

  it('counts again from the moment at which it started anew', () =>
    play(`
      from 00:00 every 1 min
        power   60x721
        counter 1000 1002x720
      then every 1 min
        power   60x5
        counter 0.5 1.5 2.5 3.5 4.5
      expect in all integrated 720 Wh
      expect in all counted 6 Wh
      expect notes baseline, counter-stuck, drop-suspected, counter-reset
    `));

  it('bridges silences as ever, and they stand as well', () =>
    play(`
      plug bridged by last power
      from 00:00 every 1 min
        power   60x721
        counter 100 102x720
      at 12:30 power 60
      at 12:30 counter 102
      expect in all bridged 30 Wh
      at 12:31 counter 103
      expect in all booked 752 Wh
    `));
});
