import { describe, expect, it } from 'vitest';
import type { Fault } from '../../src/simulator/index.ts';
import { DAY, HOUR, type Instant, later, MINUTE } from '../../src/units/index.ts';
import { calm, FROM, type Heard, heard, said, struck, watts } from './heard.ts';
import { nook, START } from './houses.ts';

const water = ({ simulator: { house } }: Heard): number =>
  house.tanks.get('reed-tank')?.temperature ?? Number.NaN;

describe('a heater that has lost a part of its element', () => {
  it('draws and heats so much less, and is itself again once it is mended', () => {
    const fault: Fault = { kind: 'weak-heater', device: 'reed-heater', part: 0.6, from: FROM };
    const house = struck(nook(), fault);
    const mended = later(FROM, DAY);
    house.go(mended);
    house.simulator.mend(fault);
    house.go(later(mended, DAY));
    const most = (from: Instant, to: Instant): number => Math.max(...said(house.watts(), from, to));
    const usual = most(START, FROM);
    expect(most(FROM, mended) / usual).toBeCloseTo(0.6, 1);
    expect(most(mended, later(mended, DAY)) / usual).toBeCloseTo(1, 1);
  });

  it('needs so much longer for the same heat', () => {
    const duty = (faults: readonly Fault[]): number => {
      const house = heard(nook(), { ...calm, faults });
      let on = 0;
      house.go(later(START, 4 * DAY), () => {
        on += watts(house, 'reed-heater') > 0 ? 1 : 0;
      });
      return on / ((4 * DAY) / MINUTE);
    };
    const weak: Fault = { kind: 'weak-heater', device: 'reed-heater', part: 0.5, from: START };
    const longer = duty([weak]) / duty([]);
    expect(longer).toBeGreaterThan(1.85);
    expect(longer).toBeLessThan(2.15);
  });
});

describe('a heater whose set point drifts', () => {
  const drift = (kPerDay: number, until?: Instant): Fault => ({
    kind: 'drifting-heater',
    device: 'reed-heater',
    kPerDay,
    from: START,
    until,
  });

  it.each([0.4, -0.4])('switches %d K a day elsewhere, and the water goes along', (kPerDay) => {
    const house = heard(nook(), { ...calm, faults: [drift(kPerDay)] });
    house.go(later(START, 30 * MINUTE));
    const before = house.simulator.house.setOf('reed-heater') ?? Number.NaN;
    house.go(later(START, 5 * DAY));
    const after = house.simulator.house.setOf('reed-heater') ?? Number.NaN;
    expect(after - before).toBeCloseTo(kPerDay * (5 - 0.5 / 24), 9);
    expect(Math.abs(water(house) - (after - 0.25))).toBeLessThan(0.35);
    const spoken = said(house.temperatures(), later(START, 4.5 * DAY), later(START, 5 * DAY));
    const mean = spoken.reduce((sum, value) => sum + value, 0) / spoken.length;
    expect(Math.abs(mean - 25 - kPerDay * 4.75)).toBeLessThan(0.2);
  });

  it('stays where the spell has left it, until somebody mends it', () => {
    const fault = drift(1, later(START, DAY));
    const house = heard(nook(), { ...calm, faults: [fault] });
    const setOf = (): number => house.simulator.house.setOf('reed-heater') ?? Number.NaN;
    house.go(later(START, DAY));
    const there = setOf();
    house.go(later(START, 3 * DAY));
    expect(setOf()).toBe(there);
    house.simulator.mend(fault);
    house.go(later(START, 3 * DAY + MINUTE));
    expect(setOf()).toBeCloseTo(there - 1, 9);
  });
});

describe('a heater whose relay chatters', () => {
  const fault: Fault = { kind: 'chattering-heater', device: 'reed-heater', from: FROM };

  it('switches many times in ten minutes, also where the physics is stepped by the minute', () => {
    const house = heard(nook(), { ...calm, stepMs: MINUTE });
    house.go(FROM);
    house.simulator.strike(fault);
    const until = later(FROM, 2 * HOUR);
    house.go(until);
    const switchings = (from: Instant, to: Instant): Instant[] => {
      const spoken = house.watts().filter(({ at }) => at > from && at <= to);
      return spoken.flatMap(({ at, value }, index) =>
        index > 0 && value > 2 !== (spoken[index - 1]?.value ?? 0) > 2 ? [at] : [],
      );
    };
    const busiest = (from: Instant, to: Instant): number => {
      const all = switchings(from, to);
      const within = all.map((end) =>
        all.filter((at) => at > later(end, -10 * MINUTE) && at <= end),
      );
      return Math.max(0, ...within.map(({ length }) => length));
    };
    expect(busiest(START, FROM)).toBeLessThan(4);
    expect(busiest(FROM, until)).toBeGreaterThan(20);
    // A controller would pulse evenly.
    const all = switchings(FROM, until);
    expect(new Set(all.slice(1).map((at, index) => at - (all[index] ?? at))).size).toBeGreaterThan(
      3,
    );
    house.simulator.mend(fault);
    house.go(later(until, 2 * HOUR));
    expect(busiest(later(until, 10 * MINUTE), later(until, 2 * HOUR))).toBeLessThan(4);
  });

  it('rests while its water is warm, and still keeps it warm', () => {
    const house = struck(nook(), fault);
    let warmest = 0;
    house.go(later(FROM, 2 * DAY), () => {
      warmest = Math.max(warmest, water(house));
      expect(water(house)).toBeGreaterThan(24.5);
    });
    expect(warmest).toBeLessThan(25.6);
  });
});

describe('a heater that hangs out of the water', () => {
  it('draws all it can, while the water cools and the room takes its heat', () => {
    const fault: Fault = { kind: 'dry-heater', device: 'reed-heater', from: FROM };
    const house = struck(nook(), fault);
    const plain = heard(nook(), { ...calm, faults: [{ ...fault, kind: 'dead-heater' }] });
    plain.go(later(FROM, 10 * HOUR));
    house.go(later(FROM, 10 * HOUR));
    expect(water(house)).toBeLessThan(23);
    expect(
      Math.min(...said(house.watts(), later(FROM, 5 * HOUR), later(FROM, 10 * HOUR))),
    ).toBeGreaterThan(100);
    const air = ({ simulator }: Heard): number => simulator.house.rooms.get('nook') ?? 0;
    expect(air(house)).toBeGreaterThan(air(plain) + 0.1);
    house.simulator.mend(fault);
    house.go(later(FROM, 30 * HOUR));
    expect(water(house)).toBeGreaterThan(24.6);
  });
});

describe('a heater that is unplugged for a water change', () => {
  it('draws nothing, however stuck it is', () => {
    const tended: { tank: string; at: Instant }[] = [];
    const stuck: Fault = { kind: 'stuck-on', device: 'reed-heater', from: START };
    const house = heard(nook(), {
      faults: [stuck],
      tended: (id, at) => tended.push({ tank: id, at }),
    });
    let idle = 0;
    house.go(later(START, 15 * DAY), () => {
      idle += watts(house, 'reed-heater') === 0 ? 1 : 0;
    });
    expect(tended.map(({ tank: id }) => id)).toEqual(Array(tended.length).fill('reed-tank'));
    expect(tended.length).toBeGreaterThanOrEqual(2);
    expect(idle).toBe(35 * tended.length);
  });
});
