import { describe, expect, it } from 'vitest';
import type { LoadResult } from '../../src/config/index.ts';
import { planWatches, thresholdsFor } from '../../src/watches/index.ts';
import { load, SAMPLE, told } from './sample.ts';

const withWatches = (yaml: string) => load(`${SAMPLE}watches:\n${yaml}`);

const watchesOf = (result: LoadResult) =>
  result.ok ? result.config.watches : expect.fail(JSON.stringify(result.problems));

describe('thresholds for some tanks or devices', () => {
  it('hold for what they name and for nothing else', () => {
    const watches = watchesOf(
      withWatches(`  heater_weak: { below: 0.2 }
  overrides:
    - { tanks: [reed-bed], heater_weak: { cycles: 5 } }
    - { devices: [reed-heater], heater_weak: { below: 0.3 }, heater_drifting: { wanders_k: 1 } }
`),
    );
    expect(thresholdsFor(watches, { tank: 'mat-den' })).toBe(watches);
    expect(thresholdsFor(watches, { tank: 'reed-bed' }).heater_weak).toEqual({
      below: 0.2,
      cycles: 5,
    });
    const heater = thresholdsFor(watches, { tank: 'reed-bed', device: 'reed-heater' });
    expect(heater.heater_weak).toEqual({ below: 0.3, cycles: 5 });
    expect(heater.heater_drifting).toEqual({ wanders_k: 1 });
    expect(heater.heater_stuck_on).toBe(watches.heater_stuck_on);
  });

  it('are others in a pond, unless an override says so', () => {
    const watches = watchesOf(
      withWatches(`  overrides:
    - { housing: pond, out_of_range: { hold_min: 20 } }
    - { tanks: [reed-bed], out_of_range: { hold_min: 5 } }
`),
    );
    const pond = { hold_min: 60, critical_beyond_k: 3, reenter_k: 0.2 };
    const usual = { ...watches, overrides: [] };
    expect(thresholdsFor(usual, { housing: 'pond' }).out_of_range).toEqual(pond);
    expect(thresholdsFor(usual, { housing: 'aquarium' })).toBe(usual);
    expect(thresholdsFor(watches, { housing: 'pond' }).out_of_range).toEqual({
      ...pond,
      hold_min: 20,
    });
    const bed = thresholdsFor(watches, { housing: 'pond', tank: 'reed-bed' });
    expect(bed.out_of_range).toEqual({ ...pond, hold_min: 5 });
  });

  it('reach what is in a room or a tank, and single plugs and probes', () => {
    const result = withWatches(`  overrides:
    - { rooms: [den], silence: { intervals: 5 }, heater_weak: { below: 0.3 } }
    - { rooms: [porch], room_cooling: { fall_k: 6, within_min: 60 } }
    - { tanks: [mat-den], silence: { at_least_min: 20 } }
    - { plugs: [lamp-plug], silence: { intervals: 9 } }
    - { probes: [porch-air], silence: { at_least_min: 45 } }
`);
    const watches = watchesOf(result);
    const plan = planWatches(result.ok ? result.config : expect.fail());
    const silences = [...plan.plugs.values(), ...plan.probes.values()].map(({ id, config }) => [
      id,
      config.silence,
    ]);
    expect(Object.fromEntries(silences)).toEqual({
      'socket-1': { intervals: 5, at_least_min: 5 },
      'socket-2': { intervals: 5, at_least_min: 20 },
      'lamp-plug': { intervals: 9, at_least_min: 5 },
      'reed-water': { intervals: 5, at_least_min: 5 },
      'mat-side': { intervals: 5, at_least_min: 20 },
      'porch-air': { intervals: 3, at_least_min: 45 },
    });
    expect(plan.rooms.get('porch')?.config.room_cooling).toEqual({ fall_k: 6, within_min: 60 });
    expect(plan.rooms.get('den')?.config.room_cooling).toBe(watches.room_cooling);
    expect(plan.heaters.get('reed-heater')?.config.heater_weak.below).toBe(0.3);
    expect(plan.gear.gear.find(({ id }) => id === 'lamp')?.config.heater_weak.below).toBe(0.3);
  });

  it.each([
    [
      '[{ tanks: [reed-bet], heater_weak: { below: 0.2 } }]',
      'AMP_CONFIG_REFERENCE watches.overrides[0].tanks[0]',
    ],
    [
      '[{ devices: [reed-heater, nobody] }]',
      'AMP_CONFIG_REFERENCE watches.overrides[0].devices[1]',
    ],
    ['[{ devices: [reed-heater], tanks: [reed-bed] }]', 'AMP_CONFIG_ONE_OF watches.overrides[0]'],
    ['[{ heater_weak: { below: 0.2 } }]', 'AMP_CONFIG_ONE_OF watches.overrides[0]'],
    [
      '[{ tanks: [reed-bed], room_cooling: { fall_k: 1 } }]',
      'AMP_CONFIG_THRESHOLD_IDLE watches.overrides[0].room_cooling',
    ],
    [
      '[{ devices: [reed-heater], out_of_range: { hold_min: 5 } }]',
      'AMP_CONFIG_THRESHOLD_IDLE watches.overrides[0].out_of_range',
    ],
    [
      '[{ probes: [porch-air], heater_weak: { below: 0.2 }, silence: { intervals: 9 } }]',
      'AMP_CONFIG_THRESHOLD_IDLE watches.overrides[0].heater_weak',
    ],
    [
      '[{ rooms: [cellar], silence: { intervals: 9 } }]',
      'AMP_CONFIG_REFERENCE watches.overrides[0].rooms[0]',
    ],
    ['[{ plugs: [nobody] }]', 'AMP_CONFIG_REFERENCE watches.overrides[0].plugs[0]'],
    ['[{ probes: [nobody] }]', 'AMP_CONFIG_REFERENCE watches.overrides[0].probes[0]'],
    [
      '[{ rooms: [porch], room_cooling: { fall: 3 } }]',
      'AMP_CONFIG_UNKNOWN_KEY watches.overrides[0].room_cooling.fall',
    ],
  ])('are refused where they make no sense: %s', (overrides, expected) => {
    const result = withWatches(`  overrides: ${overrides}\n`);
    expect(result.ok).toBe(false);
    expect(told(result).map(({ code, path }) => `${code} ${path}`)).toEqual([expected]);
  });

  it('say which tank was probably meant', () => {
    const [problem] = told(withWatches('  overrides: [{ tanks: [reed-bet] }]\n'));
    expect(problem?.remedy).toBe('did you mean reed-bed?');
  });
});
