import { describe, it } from 'vitest';
import { play } from './script.ts';

/** Lit in the morning and the afternoon, with a break at noon; it is 06:00 in Winnipeg. */
const LAMP = `
  device lamp light 40
  schedule lamp 08:00-12:00 14:00-20:00
  begins 2026-03-03T12:00Z
  every 5m
`;

describe('a lamp with a timer', () => {
  it('keeps to its schedule, the break at noon too: never', () => {
    play(`${LAMP}
      lamp 0x24 38x48 0x24 38x72 0x120
      expect light-off-plan:lamp never
      expect light-off-plan:lamp quiet at +7h because on-plan
    `);
  });

  it('keeps to a timer that is ten minutes late: never', () => {
    play(`${LAMP}
      lamp 0x26 38x48 0x24 38x72 0x120
      expect light-off-plan:lamp never
    `);
  });

  it('stays on through the break: noticed after half an hour', () => {
    play(`${LAMP}
      lamp 0x24 38x72 38x72 0x120
      expect light-off-plan:lamp not before +6h25m
      expect light-off-plan:lamp notice by +6h35m
      expect light-off-plan:lamp because on-against-plan
    `);
  });

  it('stays on in the evening: a warning when the day is two hours too long', () => {
    play(`${LAMP}
      lamp 0x24 38x48 0x24 38x72 38x48
      expect light-off-plan:lamp notice by +14h35m
      expect light-off-plan:lamp warning by +16h5m
      expect light-off-plan:lamp because photoperiod-over
    `);
  });

  it('stays dark in the morning: noticed, and over when it is lit', () => {
    play(`${LAMP}
      lamp 0x48 38x24 0x24
      expect light-off-plan:lamp notice by +2h35m
      expect light-off-plan:lamp because off-against-plan
      expect light-off-plan:lamp closed by +5h
    `);
  });

  it('follows the wall clock when the clocks go forward: never', () => {
    play(`
      device lamp light 40
      schedule lamp 08:00-20:00
      begins 2026-03-08T05:00Z        # 23:00 the evening before, CST; an hour is skipped at 02:00
      every 5m
      lamp 0x96 38x144 0x48
      expect light-off-plan:lamp never
    `);
  });

  it('was not set anew when the clocks went forward: noticed', () => {
    play(`
      device lamp light 40
      schedule lamp 08:00-20:00
      begins 2026-03-08T05:00Z
      every 5m
      lamp 0x108 38x144 0x36
      expect light-off-plan:lamp notice by +8h35m
      expect light-off-plan:lamp because off-against-plan
    `);
  });

  it('follows the wall clock when the clocks go back: never', () => {
    play(`
      device lamp light 40
      schedule lamp 08:00-12:00 13:00-20:00
      begins 2026-11-01T04:00Z        # 23:00 the evening before, CDT; 01:00 comes twice
      every 5m
      lamp 0x120 38x48 0x12 38x84 0x48
      expect light-off-plan:lamp never
    `);
  });

  it('was not set anew when the clocks went back: lit an hour too early, and noticed', () => {
    play(`
      device lamp light 40
      schedule lamp 08:00-20:00
      begins 2026-11-01T04:00Z
      every 5m
      lamp 0x108 38x144 0x36
      expect light-off-plan:lamp notice by +9h35m
      expect light-off-plan:lamp because on-against-plan
    `);
  });

  it('is lit past midnight by its schedule: never', () => {
    play(`
      device lamp light 40
      schedule lamp 22:00-02:00
      begins 2026-03-04T03:00Z        # 21:00
      every 5m
      lamp 0x12 38x48 0x48
      expect light-off-plan:lamp never
      expect light-off-plan:lamp quiet at +4h because on-plan
    `);
  });

  it('has no schedule: nothing can be said', () => {
    play(`
      device lamp light 40
      lamp 38x120
      expect light-off-plan:lamp never
      expect light-off-plan:lamp unknown at +100m because no-schedule
    `);
  });

  it('is restarted meanwhile: told at the same time', () => {
    play(`${LAMP}
      restart at +6h20m
      lamp 0x24 38x144
      expect light-off-plan:lamp not before +6h25m
      expect light-off-plan:lamp notice by +6h35m
    `);
  });
});
