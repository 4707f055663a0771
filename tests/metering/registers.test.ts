import { describe, it } from 'vitest';
import { play } from './scenario.ts';

describe('a meter with several registers', () => {
  it('counts their sum, in the shape of its samples', () =>
    play(`
      plug registers day night
      from 12:00 every 1 min
        power          120x20 0x10 0
        register day   1000+2x11 1020x20
        register night 500x11 502+2x10 520x10
      expect in all counted 40 Wh covered 1200 s
      expect in all integrated 0 Wh covered 600 s    # nothing has moved since
      expect notes baseline day, baseline night
    `));

  it('covers time once, however many registers count in it', () =>
    play(`
      plug registers a b c
      from 12:00 every 10 min
        register a 100+3x4
        register b 200+2x4
        register c 300+1x4
      expect at 12:00 counted 9 Wh spread 3 Wh covered 900 s
      expect in all counted 18 Wh covered 1800 s
    `));

  it('subtracts what is fed in', () =>
    play(`
      plug registers drawn -fed-in
      from 12:00 every 1 min
        power            60x30 -60x30 -60
        register drawn   100+1x30 130x31
        register fed-in  50x31 51+1x30
      expect at 12:00 counted 15 Wh
      expect at 12:45 counted -15 Wh
      expect in all counted 0 Wh covered 3600 s
      expect in all integrated 0 Wh
    `));

  it('lets no register settle what was sampled before the others were heard', () =>
    play(`
      plug registers a b
      at 12:00 register a 100
      at 12:00 register b 100
      at 12:00 power 120
      at 12:00:01 register a 100
      at 12:00:01 register b 100
      from 12:01 every 1 min
        power      120x10
        register a 101+1x10
      expect in all integrated 20 Wh
      expect in all counted 0 Wh
      at 12:10 register b 110
      expect in all counted 20 Wh covered 600 s
      expect in all integrated 0 Wh covered 0 s
    `));

  it('waits for the others just so where each sample comes after the registers', () =>
    play(`
      plug registers a b
      from 12:00 every 1 min
        register a 100 101+1x10
        register b 100 _x10
        power      120x11
      expect in all integrated 20 Wh
      expect in all counted 0 Wh
      at 12:10 register b 110
      expect in all counted 20 Wh covered 600 s
      expect in all integrated 0 Wh covered 0 s
    `));

  it('leaves a coarse register its part until it steps, where it was sampled', () =>
    play(`
      plug registers a b
      from 12:00 every 5 min
        power      120x12
        register a 0+5x12
        register b 0x4 20x4 40x4
      expect in all counted 95 Wh covered 3300 s
      expect in all integrated 15 Wh covered 0 s     # less than a step of the other
      then every 5 min
        power      120
        register a 60
        register b 60
      expect at 12:45 counted 30 Wh
      expect in all counted 120 Wh covered 3600 s
      expect in all integrated 0 Wh covered 0 s
    `));

  it('resets one register and goes on with the others', () =>
    play(`
      plug registers a b
      from 12:00 every 1 min
        register a 1000 1001 0.5 1.5 2.5
        register b 700+1x5
      expect in all counted 7.5 Wh
      expect notes baseline a, baseline b, drop-suspected a, counter-reset a
    `));

  it('rolls one register back, and what was sampled stands for what it lost', () =>
    play(`
      plug registers a b
      from 12:00 every 1 min
        power      120x6
        register a 1000 1001 990 991 992 993
        register b 700+1x6
      expect in all counted 9 Wh
      expect in all integrated 1 Wh
      expect notes baseline a, baseline b, drop-suspected a, counter-rolled-back a
    `));

  it('waits for a register under suspicion, and for no other reason', () =>
    play(`
      plug registers a b
      from 12:00 every 1 min
        power      120x4
        register a 1000 1001 0 1003
        register b 700+1x4
      expect in all counted 6 Wh covered 180 s
      expect in all integrated 0 Wh
      expect notes baseline a, baseline b, drop-suspected a, drop-glitch a
    `));

  it('books no leap of a single register', () =>
    play(`
      plug registers a b
      from 12:00 every 10 s
        register a 1000 1001 9000 9001
        register b 700+0.5x4
      expect in all counted 3.5 Wh
      expect notes baseline a, baseline b, leap-suspected a, leap-rebased a
    `));

  it('begins with those it has heard, and takes a late one in from its first reading', () =>
    play(`
      plug registers a b
      from 12:00 every 1 min
        register a 1000+1x10
      expect in all counted 8 Wh             # the last one waits to hear of the other
      then every 1 min
        register a 1010+1x5
        register b 50+1x5
      expect in all counted 18 Wh covered 840 s
      expect notes baseline a, baseline b
    `));

  it('leaves to the samples what a register missed before it was first heard', () =>
    play(`
      plug registers a b
      from 12:00 every 1 min
        power      120x11
        register a 1000+1x11
      expect in all integrated 20 Wh
      at 12:10 register b 50
      expect in all counted 10 Wh
      expect in all integrated 10 Wh
      then every 1 min
        power      120
        register a 1011
        register b 51
      expect in all counted 12 Wh
      expect in all integrated 10 Wh
    `));

  it('gives a register that was late its energy in its own time', () =>
    play(`
      plug registers a b
      from 12:00 every 15 min
        register a 0+15x5
        register b 0 _ _ _ 60
      at 13:00 register a 60
      expect at 12:00 counted 30 Wh covered 900 s
      expect at 12:45 counted 30 Wh covered 900 s
      expect in all counted 120 Wh covered 3600 s
    `));

  it('takes no notice of counters that it was not told of', () =>
    play(`
      plug registers day night
      at 12:00 counter 100
      at 12:00 register noon 100
      expect notes register-unknown, register-unknown noon
      plug on change
      at 12:00 register day 100
      expect notes register-unknown day
    `));

  it('drops late, repeated and kept readings of each register by itself', () =>
    play(`
      plug registers a b
      at 12:00 retained register a 10
      at 12:00 register b 10
      at 12:01 register a 11
      at 12:01 register a 11
      at 12:01 register b 11
      at 12:00:30 register b 10.5
      at 12:02 retained register b 12
      expect notes baseline a, baseline b, duplicate a, out-of-order b, retained-ignored b
      expect in all counted 2 Wh
    `));

  it('keeps all registers over a clock that is set back', () =>
    play(`
      plug registers a b
      from 36:00 every 1 min
        register a 100+1x3
        register b 200+1x3
      from 12:00 every 10 min
        register a 110 120 130 140
        register b 210 220 230 240
      expect in all counted 80 Wh
      expect notes baseline a, baseline b, out-of-order a, out-of-order b, out-of-order a, out-of-order b, clock-rebased a
    `));

  it('owes its registers what was booked under a wrong time beyond them', () =>
    play(`
      plug registers a b
      from 36:00 every 1 min
        power      60x11
        register a 100x11
        register b 100x11
      from 12:00 every 10 min
        register a 100 100 102 106
        register b 100 100 102 106
      expect in all integrated 10 Wh
      expect in all booked 12 Wh
    `));

  it('restarts all registers at midnight', () =>
    play(`
      plug registers a b, restarting at-midnight
      at 22:00 register a 100
      at 22:00 register b 300
      at 31:00 register a 140
      at 31:00 register b 70
      at 31:10 register a 141
      at 31:10 register b 71
      expect in all counted 212 Wh covered 25800 s
      expect notes baseline a, baseline b, counter-reset a, gap-unknown, drop-suspected b, counter-reset b
    `));

  it('may all be stuck', () =>
    play(`
      plug registers a b
      from 00:00 every 1 min
        power      60x600
        register a 100x600
        register b 100x600
      then every 1 min
        power      60x3
        register a 101 102 103
        register b 100x3
      expect in all integrated 600 Wh
      expect in all counted 2 Wh
      expect notes baseline a, baseline b, counter-stuck, counter-moving
    `));

  it('goes on through restarts of the program', () =>
    play(`
      plug registers a b
      from 12:00 every 1 min
        register a 100 101
        register b 100 101
      restart
      at 12:02 register a 102
      restart
      at 12:02 register b 102
      expect in all counted 4 Wh covered 120 s
    `));
});
