import { describe, expect, it } from 'vitest';
import { play } from './scenario.ts';

describe('a heater that loses to the cold', () => {
  it('is found when it has heated for three hours and it still gets colder', () => {
    play(`
      usual 6 cycles
      every 5m
      look every 5m
      water  25..24x72
      room   8x72
      heater 148x72
      expect heater-overmatched not before +150m
      expect heater-overmatched warning by +200m
      expect heater-overmatched because full-and-falling
      expect heater-overmatched likely
      expect heater-stuck-on never
      expect heater-not-heating never
    `);
  });

  it('is told what it lacks by what was learned, with its band', () => {
    const { told } = play(`
      usual 6 cycles
      every 5m
      learned 9 +5
      water  25..24x72
      room   8x72
      heater 148x72
      expect heater-overmatched warning by +200m
    `);
    const { evidence } = told.get('heater-overmatched:heater')?.at(-1)?.finding ?? { evidence: [] };
    const short = evidence.find(({ what }) => what === 'short-by');
    // It switches on at 25.0 °C: 9 W/K · 17 K + 5 W − 148 W, ± 1.96 · √(0.225² · 17² + 1²) W.
    expect(Math.abs((short?.value ?? 0) - 10)).toBeLessThan(0.5);
    const reach = 1.96 * Math.sqrt((0.225 * 17) ** 2 + 1);
    expect((short?.high ?? 0) - (short?.value ?? 0)).toBeCloseTo(reach, 1);
    expect(evidence.map(({ what }) => what)).toContain('learned-over');
  });

  it('is over half an hour after it has begun to rise', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25..24.2x48 24.2..25.4x48
      room   8x48 22x48
      heater 148x96
      expect heater-overmatched warning by +200m
      expect heater-overmatched closed by +400m
    `);
  });

  it('is not lost in a restart', () => {
    play(`
      usual 6 cycles
      every 5m
      restart at +2h
      water  25..24x72
      room   8x72
      heater 148x72
      expect heater-overmatched warning by +200m
    `);
  });
});

describe('a heater that is not overmatched, though it works hard', () => {
  it('has a window open for forty minutes', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25..24.7x8 24.7..25.4x24 25.4..25x8 25..25.4x4
      room   20 10x8 19x35
      heater 148x32 0x8 148x4
      expect heater-overmatched never
    `);
  });

  it('heats all day in a cold room and holds', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25..24.8x12 24.8x100
      heater 148x112
      expect heater-overmatched never
      expect heater-overmatched quiet at +500m because holds
    `);
  });

  it('makes up for a big water change', () => {
    play(`
      usual 6 cycles
      every 5m
      water  25.2 22x2 22..24.6x60
      heater 148x63
      expect heater-overmatched never
    `);
  });

  it('has a second heater beside it that could help and is off', () => {
    play(`
      usual 6 cycles
      every 5m
      water    25..24x72
      room     8x72
      heater   148x72
      heater-2 0x72
      expect heater-overmatched never
      expect heater-overmatched quiet at +300m because another-idle
    `);
  });

  it('has no probe in its tank, or shares its plug: nothing is known', () => {
    play(`
      without water
      every 5m
      heater 148x72
      expect heater-overmatched unknown at +300m because no-probe
    `);
    play(`
      companion 15
      every 5m
      water  25..24x72
      heater 163x72
      expect heater-overmatched unknown at +300m because plug-shared
    `);
  });
});
