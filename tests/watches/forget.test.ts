import { describe, expect, it } from 'vitest';
import { HOUR, type Instant, instant, type LocalDate, MINUTE } from '../../src/units/index.ts';
import { watchesConfig } from '../../src/watches/config.ts';
import {
  createSights,
  forgetGear,
  gearChanges,
  lookAround,
  planWatches,
  recordGear,
  type Sights,
  savedSights,
  see,
  type WatchedSite,
} from '../../src/watches/index.ts';

const START = instant(Date.UTC(2026, 2, 3));
const SITE: WatchedSite = {
  rooms: { shed: {} },
  tanks: {
    eddy: { room: 'shed', keep_c: { min: 23, max: 27 }, volume_l: 100, ...plain() },
    brook: { room: 'shed', keep_c: { min: 23, max: 27 }, volume_l: 60, ...plain() },
  },
  probes: { water: { tank: 'eddy' } },
  plugs: { one: { reporting: 'on-change' }, two: { reporting: 'interval' } },
  devices: {
    heater: { kind: 'heater', nameplate_w: 150, plug: 'one', tank: 'eddy' },
    pump: { kind: 'pump', nameplate_w: 15, plug: 'two', tank: 'eddy' },
  },
  watches: watchesConfig.parse({}),
};

function plain() {
  return { housing: 'aquarium', walls: 'glass', lid: true } as const;
}

const TODAY = '2026-03-10' as LocalDate;

/** Two days of a heater that switches at 25 and 25.4 °C, and of a pump that draws 12 W. */
function lived(): { sights: Sights; states: Map<string, unknown>; now: Instant } {
  const plan = planWatches(SITE, TODAY);
  const sights = createSights(plan);
  const states = new Map<string, unknown>();
  let now = START;
  const say = (id: string, measure: 'power' | 'temperature', value: number): void =>
    see(sights, {
      from: measure === 'power' ? 'plug' : 'probe',
      ...{ id, measure, value, at: now, arrived: now, retained: false },
    });
  for (let minute = 0; minute < 2 * 24 * 60; minute += 5) {
    now = instant(START + minute * MINUTE);
    const phase = (minute / 5) % 12;
    say('water', 'temperature', phase < 6 ? 25 + phase / 15 : 25.4 - (phase - 6) / 15);
    say('one', 'power', phase < 6 ? 148 : 0);
    say('two', 'power', 12);
    for (const { key, state } of lookAround(plan, sights, states, { now, connectedSince: START })) {
      states.set(key, state);
    }
  }
  return { sights, states, now };
}

describe('what was learned of gear', () => {
  it('is forgotten of a heater that was replaced, each with the day that it was learned since', () => {
    const { sights, states } = lived();
    const before = sights.heaters.get('heater')?.sight;
    // A median of three is a sample late.
    expect(before?.learned?.switchOff).toBeCloseTo(25.4 - 1 / 15, 6);
    const change = { kind: 'device', id: 'heater', change: 'replaced' } as const;
    const { forgotten } = forgetGear(sights, states, change);
    expect(forgotten.map(({ of, what }) => `${of} ${what}`)).toEqual([
      'heater on-power',
      'heater switch-temperatures',
    ]);
    for (const { since = 0 } of forgotten) {
      expect(since - START).toBeGreaterThan(0);
      expect(since - START).toBeLessThan(2 * HOUR);
    }
    expect(sights.heaters.get('heater')?.sight).toMatchObject({
      ...{ onPowers: [], onPower: undefined, strength: undefined, runs: [] },
      ...{ thermostat: undefined, learned: undefined, switchOffs: [] },
      ...{ drawing: before?.drawing, power: before?.power, powerAt: before?.powerAt },
    });
    expect(forgetGear(sights, states, change).forgotten).toEqual([]);
  });

  it('stays of a heater that was moved, but for where it switches: that was seen in another tank', () => {
    const { sights, states } = lived();
    const { forgotten } = forgetGear(sights, states, {
      ...{ kind: 'device', id: 'heater', change: 'moved' },
    } as const);
    expect(forgotten.map(({ what }) => what)).toEqual(['switch-temperatures']);
    const { onPower, strength, learned } = sights.heaters.get('heater')?.sight ?? {};
    expect(onPower).toBe(148);
    expect(strength?.usual).toBe(148);
    expect(learned).toBeUndefined();
  });

  it('is forgotten of a pump in the states of its watches', () => {
    const { sights, states } = lived();
    const { forgotten, states: after } = forgetGear(sights, states, {
      ...{ kind: 'device', id: 'pump', change: 'replaced' },
    } as const);
    expect(forgotten).toMatchObject([{ of: 'pump', what: 'usual-power' }]);
    expect((forgotten[0]?.since ?? 0) - START).toBeLessThan(HOUR);
    expect([...after.keys()].sort()).toEqual(['pump-laboring:pump', 'pump-stopped:pump']);
    expect(after.get('pump-stopped:pump')).toMatchObject({ usual: { since: undefined } });
    expect(after.get('pump-laboring:pump')).toBeUndefined();
  });

  it('is forgotten of a probe, and with it where the thermostats of its tank switch', () => {
    const { sights, states } = lived();
    const before = sights.probes.get('water')?.sight.settled;
    const { forgotten } = forgetGear(sights, states, { kind: 'probe', id: 'water' });
    expect(forgotten.map(({ of, what }) => `${of} ${what}`)).toEqual([
      'water stillness',
      'water usual-silence',
      'heater switch-temperatures',
    ]);
    expect(forgotten[0]?.since).toBe(START);
    const { stills, gaps, settled } = sights.probes.get('water')?.sight ?? {};
    expect(stills).toMatchObject({ longest: 0, step: undefined });
    expect(gaps?.weights.every((weight) => weight === 0)).toBe(true);
    expect(settled).toBe(before);
    expect(sights.heaters.get('heater')?.sight.onPower).toBe(148);
  });

  it('is nothing where nothing is watched', () => {
    const { sights, states } = lived();
    const known = savedSights(sights);
    for (const change of [
      { kind: 'device', id: 'nobody', change: 'replaced' },
      { kind: 'probe', id: 'nobody' },
    ] as const) {
      const { forgotten, states: after } = forgetGear(sights, states, change);
      expect(forgotten).toEqual([]);
      expect(after.size).toBe(0);
    }
    expect(savedSights(sights)).toEqual(known);
  });
});

describe('gear on record', () => {
  const { heater, pump } = SITE.devices as Record<string, WatchedSite['devices'][string]>;
  const before = recordGear(SITE, TODAY);
  const changesTo = (site: Partial<WatchedSite>, today = TODAY) =>
    gearChanges(before, recordGear({ ...SITE, ...site }, today));

  it('is the same while kind, rated power, plug and place are', () => {
    expect(changesTo({})).toEqual([]);
    expect(gearChanges(JSON.parse(JSON.stringify(before)), before)).toEqual([]);
  });

  it.each([
    ['kind', { kind: 'chiller' }],
    ['rated power', { nameplate_w: 100 }],
    ['plug', { plug: 'two' }],
  ])('is another where its %s is', (_, other) => {
    const devices = { ...SITE.devices, heater: { ...heater, ...other } as typeof heater & object };
    expect(changesTo({ devices })).toEqual([{ kind: 'device', id: 'heater', change: 'replaced' }]);
  });

  it('was moved from the day that the config says', () => {
    const moved = [{ on: '2026-03-11', tank: 'brook' }];
    const devices = { ...SITE.devices, heater: { ...heater, moved } as typeof heater & object };
    expect(changesTo({ devices })).toEqual([]);
    expect(changesTo({ devices }, '2026-03-11' as LocalDate)).toEqual([
      { kind: 'device', id: 'heater', change: 'moved' },
    ]);
  });

  it('is another probe in another place', () => {
    expect(changesTo({ probes: { water: { tank: 'brook' } } })).toEqual([
      { kind: 'probe', id: 'water' },
    ]);
    expect(changesTo({ probes: { water: { room: 'shed' } } })).toHaveLength(1);
  });

  it('keeps what was taken out, so that other gear under its id is noticed', () => {
    const without = recordGear(
      { ...SITE, devices: { pump } as typeof SITE.devices },
      TODAY,
      before,
    );
    expect(gearChanges(before, without)).toEqual([]);
    const devices = { pump, heater: { ...heater, nameplate_w: 300 } } as typeof SITE.devices;
    const back = recordGear({ ...SITE, devices }, TODAY, without);
    expect(gearChanges(without, back)).toEqual([
      { kind: 'device', id: 'heater', change: 'replaced' },
    ]);
  });
});
