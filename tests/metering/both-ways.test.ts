import { describe, it } from 'vitest';
import { play } from './scenario.ts';

describe('a meter that counts both ways', () => {
  it('integrates power with its sign', () =>
    play(`
      plug bidirectional
      from 12:00 every 1 min
        power 60x30 -120x30 0
      expect at 12:00 integrated 15 Wh covered 900 s drawing 900 s
      expect at 12:45 integrated -30 Wh covered 900 s drawing 0 s
      expect in all integrated -30 Wh
      expect notes none
    `));

  it('draws lines through nothing where it samples at intervals', () =>
    play(`
      plug bidirectional, at intervals
      from 12:00 every 1 min
        power 60 -60 60
      expect in all integrated 0 Wh covered 120 s
    `));

  it('takes a falling counter for energy that flows back', () =>
    play(`
      plug bidirectional
      from 12:00 every 1 min
        counter 100 101 99.5 40 -20 -19
      expect in all counted -119 Wh covered 300 s
      expect notes baseline
    `));

  it('does not believe that more flowed back than the plug can carry', () =>
    play(`
      plug bidirectional, limit 1000 W
      from 12:00 every 1 min
        counter 5000 5001 0 5003
      expect in all counted 3 Wh
      expect notes baseline, drop-suspected, drop-glitch
    `));

  it('ignores power beyond its limit either way', () =>
    play(`
      plug bidirectional, limit 1000 W
      at 12:00 power -360
      at 12:00:05 power -1300
      at 12:00:10 power 0
      expect in all integrated -1 Wh
      expect notes over-limit
    `));

  it('settles samples of both signs by the counter, each keeping its own', () =>
    play(`
      plug bidirectional
      from 12:00 every 5 min
        power   120x3 -120x3 120
        counter 100x6 102              # the samples say nothing in all
      expect at 12:00 counted 31 Wh
      expect at 12:15 counted -29 Wh
      expect in all counted 2 Wh covered 1800 s
      expect in all integrated 0 Wh covered 0 s
    `));

  it('bridges a silence by what flowed back last, until the counter is heard', () =>
    play(`
      plug bidirectional, bridged by last power
      at 12:00 power -60
      at 12:00 counter 100
      at 12:30 power -60
      expect in all bridged -30 Wh
      at 12:30 counter 75
      expect in all bridged 0 Wh covered 0 s
      expect in all counted -25 Wh covered 1800 s
    `));

  it('may wrap backwards at its stated width', () =>
    play(`
      plug bidirectional, wrapping at 10000 Wh
      from 12:00 every 1 min
        counter 2 1 9999 9998
      expect in all counted -4 Wh
      expect notes baseline, leap-suspected, counter-wrapped
    `));

  it('takes power sent backwards for none where nobody told', () =>
    play(`
      from 12:00 every 1 min
        power -60x2
      expect in all integrated 0 Wh
      expect notes negative-power, negative-power
    `));
});
