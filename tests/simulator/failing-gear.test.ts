import { describe, expect, it } from 'vitest';
import type { Fault } from '../../src/simulator/index.ts';
import { DAY, HOUR, type Instant, later } from '../../src/units/index.ts';
import { calm, FROM, type Heard, heard, said, struck, watts } from './heard.ts';
import { device, nook, plug, START, tank } from './houses.ts';

describe('a chiller beside a heater', () => {
  const spec = nook({
    tanks: [tank({ set: 24 })],
    devices: [device(), device({ id: 'cooler', kind: 'chiller', watts: 120, plug: 'cold-socket' })],
    plugs: [plug(), plug({ id: 'cold-socket' })],
  });
  /** Minutes in which each of them drew. */
  const minutes = (house: Heard, until: Instant): { heater: number; cooler: number } => {
    const drawn = { heater: 0, cooler: 0 };
    house.go(until, () => {
      drawn.heater += watts(house, 'reed-heater') > 0 ? 1 : 0;
      drawn.cooler += watts(house, 'cooler') > 0 ? 1 : 0;
    });
    return drawn;
  };

  it('leaves it alone while both are well, in the cold and in the heat', () => {
    const winter = heard(spec, { ...calm, weather: () => -10 });
    expect(minutes(winter, later(START, 2 * DAY))).toMatchObject({ cooler: 0 });
    const summer = heard(nook({ ...spec, tanks: [tank({ set: 21 })] }), {
      ...calm,
      weather: () => 34,
    });
    const drawn = minutes(summer, later(START, 4 * DAY));
    expect(drawn.cooler).toBeGreaterThan(60);
    // Until the room has warmed up the heater has work.
    summer.go(later(START, 5 * DAY));
    expect(minutes(summer, later(START, 9 * DAY)).heater).toBe(0);
  });

  it('works against it once its set point has slipped, until it is mended', () => {
    const fault: Fault = { kind: 'fighting-chiller', device: 'cooler', from: FROM };
    const house = struck(spec, fault);
    const drawn = minutes(house, later(FROM, DAY));
    expect(drawn.heater).toBeGreaterThan(0.1 * 1440);
    expect(drawn.cooler).toBeGreaterThan(0.1 * 1440);
    house.simulator.mend(fault);
    house.go(later(FROM, DAY + HOUR));
    expect(minutes(house, later(FROM, 3 * DAY)).cooler).toBe(0);
  });
});

describe('pumps and lights', () => {
  const spec = nook({
    devices: [
      device({ id: 'reed-filter', kind: 'filter', watts: 20, plug: 'filter-socket' }),
      device({
        id: 'reed-lamp',
        kind: 'light',
        watts: 30,
        plug: 'lamp-socket',
        // 14:00–22:00 in Winnipeg's summer time is 19:00–03:00 UTC: the lamp is on at the start.
        schedule: [{ from: 14 * 60, to: 22 * 60 }],
      }),
    ],
    plugs: [plug({ id: 'filter-socket' }), plug({ id: 'lamp-socket' })],
  });

  it('of which a stopped pump draws nothing, and says so', () => {
    const fault: Fault = { kind: 'stopped-pump', device: 'reed-filter', from: FROM };
    const house = struck(spec, fault);
    house.go(later(FROM, HOUR));
    house.simulator.mend(fault);
    house.go(later(FROM, 2 * HOUR));
    const filter = house.watts('filter-socket');
    expect(new Set(said(filter, FROM, later(FROM, HOUR)))).toEqual(new Set([0]));
    expect(Math.min(...said(filter, later(FROM, HOUR), later(FROM, 2 * HOUR)))).toBeGreaterThan(17);
    expect(Math.min(...said(filter, START, FROM))).toBeGreaterThan(17);
  });

  it.each([0.7, 1.4])('of which a laboring one draws %d of its usual', (part) => {
    const fault: Fault = { kind: 'laboring-pump', device: 'reed-filter', part, from: FROM };
    const house = struck(spec, fault);
    house.go(later(FROM, HOUR));
    house.simulator.mend(fault);
    house.go(later(FROM, 2 * HOUR));
    const mean = (from: Instant, to: Instant): number => {
      const spoken = said(house.watts('filter-socket'), from, to);
      return spoken.reduce((sum, value) => sum + value, 0) / spoken.length;
    };
    const usual = mean(START, FROM);
    expect(mean(FROM, later(FROM, HOUR)) / usual).toBeCloseTo(part, 1);
    expect(mean(later(FROM, HOUR), later(FROM, 2 * HOUR)) / usual).toBeCloseTo(1, 1);
  });

  it('of which a light stays on or off against its plan', () => {
    const draws = (kind: 'light-stays-on' | 'light-stays-off'): number[] => {
      const from = later(START, HOUR);
      const fault: Fault = { kind, device: 'reed-lamp', from, until: later(START, 30 * HOUR) };
      const house = heard(spec, { ...calm, faults: [fault] });
      // On until 3:00 UTC, off until 19:00, on again; the fault is over at 6:00.
      return [0.9, 2, 10, 22, 31].map((hours) => {
        house.go(later(START, hours * HOUR));
        return watts(house, 'reed-lamp') > 25 ? 1 : watts(house, 'reed-lamp');
      });
    };
    expect(draws('light-stays-on')).toEqual([1, 1, 1, 1, 0]);
    expect(draws('light-stays-off')).toEqual([1, 0, 0, 0, 0]);
  });
});
