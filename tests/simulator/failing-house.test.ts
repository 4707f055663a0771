import { describe, expect, it } from 'vitest';
import type { Fault } from '../../src/simulator/index.ts';
import { CodedError, HOUR, later, MINUTE } from '../../src/units/index.ts';
import { calm, FROM, type Heard, heard } from './heard.ts';
import { device, nook, plug, START, tank } from './houses.ts';

const UNTIL = later(START, 6 * HOUR);
const waterOf = ({ simulator: { house } }: Heard, id = 'reed-tank'): number =>
  house.tanks.get(id)?.temperature ?? Number.NaN;
const airOf = ({ simulator: { house } }: Heard, id = 'nook'): number =>
  house.rooms.get(id) ?? Number.NaN;

describe('a tank without its lid', () => {
  const fault: Fault = { kind: 'lid-off', tank: 'reed-tank', times: 1.5, from: FROM };

  it('loses so many times its heat, until the lid is back', () => {
    const house = heard(nook(), calm);
    const loss = (): number => house.simulator.house.lossOf('reed-tank') ?? Number.NaN;
    house.go(FROM);
    // 1.6 m² at 6 W/(m²·K).
    expect(loss()).toBeCloseTo(9.6, 9);
    house.simulator.strike(fault);
    house.go(UNTIL);
    expect(loss()).toBeCloseTo(14.4, 9);
    house.simulator.mend(fault);
    house.go(later(UNTIL, MINUTE));
    expect(loss()).toBeCloseTo(9.6, 9);
    expect(house.simulator.house.lossOf('moss-tank')).toBeUndefined();
  });

  it('costs its heater as much more', () => {
    const counted = (faults: readonly Fault[]): number => {
      const house = heard(nook(), { ...calm, faults });
      house.go(later(START, 96 * HOUR));
      const counters = house.counters();
      return (counters.at(-1)?.value ?? 0) - (counters[0]?.value ?? 0);
    };
    const more = counted([{ ...fault, from: START }]) / counted([]);
    expect(more).toBeGreaterThan(1.4);
    expect(more).toBeLessThan(1.6);
  });
});

describe('an open window', () => {
  const fault: Fault = { kind: 'open-window', room: 'nook', from: FROM };

  it('cools the air at once and the walls in hours; closed, the air is as warm as they are', () => {
    const house = heard(nook({ devices: [], plugs: [] }), { ...calm, weather: () => -5 });
    house.go(FROM);
    const before = airOf(house);
    house.simulator.strike(fault);
    house.go(later(FROM, 5 * MINUTE));
    const open = airOf(house);
    expect(before - open).toBeGreaterThan(5);
    house.go(UNTIL);
    const after = airOf(house);
    expect(after).toBeLessThan(open - 3);
    expect(after).toBeGreaterThan(-5);
    house.simulator.mend(fault);
    house.go(later(UNTIL, MINUTE));
    expect(airOf(house) - after).toBeGreaterThan(3);
    expect(before - airOf(house)).toBeGreaterThan(3);
    house.go(later(UNTIL, 24 * HOUR));
    expect(airOf(house)).toBeGreaterThan(before - 0.3);
  });

  it('changes nothing where it is as warm outdoors as in', () => {
    // So warm is a room that nothing in it warms when it is as warm outdoors.
    const same = 20.385;
    const house = heard(nook({ devices: [], plugs: [], tanks: [] }), { weather: () => same });
    house.go(later(START, 60 * HOUR));
    expect(airOf(house)).toBeCloseTo(same, 2);
    house.simulator.strike(fault);
    house.go(later(START, 61 * HOUR), () => expect(airOf(house)).toBeCloseTo(same, 2));
  });
});

describe('a power cut', () => {
  const spec = nook({
    rooms: [
      { id: 'nook', outdoors: false },
      { id: 'loft', outdoors: false },
    ],
    tanks: [tank(), tank({ id: 'moss-tank', room: 'loft' })],
    devices: [
      device(),
      device({ id: 'reed-filter', kind: 'filter', watts: 15, plug: 'forgetful' }),
      device({
        id: 'moss-filter',
        kind: 'filter',
        watts: 15,
        tank: 'moss-tank',
        room: 'loft',
        plug: 'upstairs',
      }),
    ],
    plugs: [plug(), plug({ id: 'forgetful', forgetful: true }), plug({ id: 'upstairs' })],
  });
  const drawn = ({ simulator: { house } }: Heard): string[] =>
    [...house.devices].flatMap(([id, { watts }]) => (watts > 0 ? [id] : []));

  it('leaves a room without power and its plugs off the air, but for the probes', () => {
    const fault: Fault = { kind: 'power-cut', rooms: ['nook'], from: FROM };
    const house = heard(spec, calm);
    house.go(FROM);
    house.simulator.strike(fault);
    const drew = new Set<string>();
    house.go(UNTIL, () => {
      for (const id of drawn(house)) drew.add(id);
    });
    expect([...drew]).toEqual(['moss-filter']);
    expect(waterOf(house)).toBeLessThan(24.4);
    house.simulator.mend(fault);
    house.go(later(UNTIL, HOUR));
    expect(drawn(house)).toContain('reed-filter');
    for (const id of ['socket', 'forgetful']) {
      expect(house.presence(id)).toEqual(['here', 'gone', 'here']);
      const during = house.watts(id).filter(({ at }) => at > FROM && at <= UNTIL);
      expect(during).toEqual([]);
    }
    expect(house.presence('upstairs')).toEqual(['here']);
    const probed = house.temperatures().filter(({ at }) => at > FROM && at <= UNTIL);
    expect(probed).toHaveLength((3 * HOUR) / (2 * MINUTE));
  });

  it('lets forgetful plugs count from nothing when it is over, and the others go on', () => {
    const fault: Fault = { kind: 'power-cut', from: FROM, until: UNTIL };
    const house = heard(spec, { ...calm, faults: [fault] });
    house.go(later(UNTIL, HOUR));
    for (const id of ['socket', 'forgetful', 'upstairs']) {
      expect(house.presence(id)).toEqual(['here', 'gone', 'here']);
    }
    const around = (id: string): [number, number] => {
      const counters = house.counters(id);
      const before = counters.filter(({ at }) => at <= FROM).at(-1)?.value ?? Number.NaN;
      const after = counters.find(({ at }) => at > FROM)?.value ?? Number.NaN;
      return [before, after];
    };
    expect(around('forgetful')[0]).toBeGreaterThan(100);
    expect(around('forgetful')[1]).toBeLessThan(1);
    const [before, after] = around('upstairs');
    expect(after - before).toBeGreaterThanOrEqual(0);
    expect(after - before).toBeLessThan(2);
  });
});

describe('faults of a house', () => {
  it('cannot strike what it does not have', () => {
    const { simulator } = heard(nook());
    const nowhere: Fault[] = [
      { kind: 'stuck-on', device: 'moss-heater', from: START },
      { kind: 'silent-probe', probe: 'moss-water', from: START },
      { kind: 'plug-offline', plug: 'moss-socket', from: START },
      { kind: 'lid-off', tank: 'moss-tank', times: 2, from: START },
      { kind: 'open-window', room: 'loft', from: START },
      { kind: 'power-cut', rooms: ['nook', 'loft'], from: START },
    ];
    for (const fault of nowhere) {
      expect(() => simulator.strike(fault), fault.kind).toThrow(CodedError);
      expect(() => heard(nook(), { faults: [fault] }), fault.kind).toThrow(/has no such/);
    }
  });

  it('may be struck ahead of time, overlap, and be mended one by one', () => {
    const house = heard(nook(), calm);
    const weak = { kind: 'weak-heater', device: 'reed-heater', part: 0.5 } as const;
    const ahead: Fault = { ...weak, from: UNTIL };
    const stuck: Fault = { kind: 'stuck-on', device: 'reed-heater', from: START };
    house.simulator.strike(ahead);
    house.simulator.strike(stuck);
    const watts = (): number => house.simulator.house.devices.get('reed-heater')?.watts ?? 0;
    house.go(FROM);
    expect(watts()).toBeGreaterThan(130);
    house.go(UNTIL);
    expect(watts()).toBeGreaterThan(65);
    expect(watts()).toBeLessThan(80);
    house.simulator.mend(ahead);
    house.go(later(UNTIL, MINUTE));
    expect(watts()).toBeGreaterThan(130);
    house.simulator.mend(stuck);
    house.simulator.mend(stuck);
    house.go(later(UNTIL, 2 * MINUTE));
    expect(watts()).toBe(0);
  });

  it('leave the weather, and the course of chance, as they were', () => {
    const other = nook({
      devices: [device(), device({ id: 'far', tank: undefined, plug: undefined })],
    });
    const outdoors = (faults: readonly Fault[]): number => {
      const house = heard(other, { ...calm, faults });
      house.go(later(START, 30 * HOUR));
      return house.simulator.house.outdoors;
    };
    const fault: Fault = { kind: 'power-cut', from: FROM, until: UNTIL };
    expect(outdoors([fault])).toBe(outdoors([]));
  });
});
