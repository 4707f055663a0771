import { describe, expect, it } from 'vitest';
import type { LocalDate } from '../../src/units/index.ts';
import { instant } from '../../src/units/index.ts';
import { watchesConfig } from '../../src/watches/config.ts';
import {
  blindWithout,
  createSights,
  planWatches,
  see,
  type WatchedSite,
} from '../../src/watches/index.ts';
import { reading } from './scenario.ts';
import { glassTank as tank } from './tanks.ts';

const plug = { reporting: 'interval' } as const;

const siteWith = (devices: WatchedSite['devices']): WatchedSite => ({
  rooms: { den: {} },
  tanks: { reed: tank, newt: tank },
  probes: { 'reed-water': { tank: 'reed' } },
  plugs: { heater: plug, strip: plug },
  devices,
  watches: watchesConfig.parse({}),
});

const heater = { kind: 'heater', nameplate_w: 150 };
const on = (date: string) => date as LocalDate;

describe('a plug that feeds several devices', () => {
  const plan = planWatches(
    siteWith({
      'reed-heater': { ...heater, plug: 'strip', tank: 'reed' },
      'reed-lamp': { kind: 'light', nameplate_w: 5, plug: 'strip', tank: 'reed' },
      'newt-heater': { ...heater, plug: 'heater', tank: 'newt' },
    }),
  );

  it('tells nothing of its heaters, while a plug with one heater does', () => {
    expect(plan.plugs.get('strip')?.heaters).toEqual([]);
    expect(plan.heaters.get('reed-heater')).toMatchObject({ tank: 'reed', alone: false });
    expect(plan.plugs.get('heater')?.heaters).toEqual(['newt-heater']);
    expect(plan.heaters.get('newt-heater')).toMatchObject({ tank: 'newt', alone: true });
  });

  it('says what hangs on it', () => {
    expect(plan.plugs.get('strip')).toMatchObject({
      devices: ['reed-heater', 'reed-lamp'],
      tank: 'reed',
    });
  });

  it('blinds nobody when it falls silent: they were blind before', () => {
    expect(blindWithout(plan, [{ kind: 'plug', id: 'strip' }])).toEqual([]);
    expect(blindWithout(plan, [{ kind: 'plug', id: 'heater' }]).length).toBeGreaterThan(2);
  });

  it('teaches nothing about its heaters', () => {
    const sights = createSights(plan);
    const now = instant(Date.UTC(2026, 2, 3));
    see(sights, reading('heater', 155, now, { id: 'strip' }));
    see(sights, reading('heater', 148, now));
    expect(sights.heaters.get('reed-heater')?.sight.drawing).toBeUndefined();
    expect(sights.heaters.get('newt-heater')?.sight.drawing).toBe(true);
  });
});

describe('a heater that was moved', () => {
  const moved = siteWith({
    traveler: {
      ...heater,
      plug: 'heater',
      tank: 'reed',
      moved: [
        { on: '2026-03-03', tank: 'newt' },
        { on: '2026-04-01', shares: { reed: 0.5, newt: 0.5 } },
        { on: '2026-05-01', divided: { by: 'equal', among: ['reed', 'newt'] } },
        { on: '2026-06-01', shares: { reed: 0.7, newt: 0.3 } },
      ],
    },
  });
  const tankOn = (date: string) => planWatches(moved, on(date)).heaters.get('traveler')?.tank;

  it('is watched in the tank in which it hangs on the day', () => {
    expect(tankOn('2026-03-02')).toBe('reed');
    expect(tankOn('2026-03-03')).toBe('newt');
    expect(planWatches(moved, on('2026-03-03')).tanks.get('newt')?.heaters).toEqual(['traveler']);
    expect(planWatches(moved, on('2026-03-03')).tanks.get('reed')?.heaters).toEqual([]);
    expect(tankOn('2026-06-01')).toBe('reed');
  });

  it('is not watched while it serves several tanks alike', () => {
    expect(tankOn('2026-04-01')).toBeUndefined();
    expect(tankOn('2026-05-01')).toBeUndefined();
  });

  it('is taken to have arrived where no day is told', () => {
    expect(planWatches(moved).heaters.get('traveler')?.tank).toBe('reed');
  });
});

describe('a heater that is no longer in use', () => {
  const replaced = siteWith({
    'old-heater': { ...heater, plug: 'heater', tank: 'reed', until: '2026-03-02' },
    'new-heater': { ...heater, plug: 'heater', tank: 'reed' },
  });

  it('leaves the plug to the next one', () => {
    const plan = planWatches(replaced, on('2026-03-03'));
    expect([...plan.heaters.keys()]).toEqual(['new-heater']);
    expect(plan.plugs.get('heater')).toMatchObject({
      devices: ['new-heater'],
      heaters: ['new-heater'],
    });
    expect(planWatches(replaced).plugs).toEqual(plan.plugs);
  });

  it('is watched up to its last day', () => {
    expect([...planWatches(replaced, on('2026-03-02')).heaters.keys()]).toContain('old-heater');
  });
});
