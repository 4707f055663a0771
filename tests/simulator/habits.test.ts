import { describe, expect, it } from 'vitest';
import { DAY, HOUR, type Instant, later, MINUTE } from '../../src/units/index.ts';
import { heard, INTERVAL } from './heard.ts';
import { device, nook, plug, START } from './houses.ts';

const DAYS = 24;
const END = later(START, DAYS * DAY);
const hourOf = new Intl.DateTimeFormat('en-GB', {
  timeZone: 'America/Winnipeg',
  hour: 'numeric',
  hourCycle: 'h23',
});
const civil = (at: Instant): number => Number(hourOf.format(at));

describe('the keepers of the simulated house', () => {
  it('tell of each water change when it begins, and make none where they are told not to', () => {
    const changes = (waterChanges?: boolean): Instant[] => {
      const begun: Instant[] = [];
      const habits = waterChanges === undefined ? {} : { waterChanges };
      const house = heard(nook(), { habits, tended: (_, at) => begun.push(at) });
      house.go(END);
      return begun;
    };
    expect(changes(false)).toEqual([]);
    const usual = changes();
    expect(usual.length).toBeGreaterThanOrEqual(2);
    expect(usual.length).toBeLessThanOrEqual(5);
    expect(changes(true)).toEqual(usual);
  });

  it('let pumps and filters rest for ten minutes while they feed, on some days, but no air pump', () => {
    const spec = nook({
      devices: [
        device({ id: 'reed-filter', kind: 'filter', watts: 15, plug: 'socket' }),
        device({ id: 'reed-air', kind: 'air-pump', watts: 4, plug: undefined }),
      ],
    });
    const rests = (feedingPauses: boolean): Instant[] => {
      const house = heard(spec, { habits: { waterChanges: false, feedingPauses } });
      const begun: Instant[] = [];
      let [rested, was, leastAir] = [0, false, Number.POSITIVE_INFINITY];
      house.go(END, () => {
        const { devices, at } = house.simulator.house;
        leastAir = Math.min(leastAir, devices.get('reed-air')?.watts ?? 0);
        const rests = devices.get('reed-filter')?.watts === 0;
        if (rests && !was) begun.push(at);
        rested += rests ? 1 : 0;
        was = rests;
      });
      expect(rested).toBe(10 * begun.length);
      expect(leastAir).toBeGreaterThan(3);
      return begun;
    };
    expect(rests(false)).toEqual([]);
    const fed = rests(true);
    expect(fed.length).toBeGreaterThan(DAYS / 4);
    expect(fed.length).toBeLessThan(DAYS);
    for (const at of fed) {
      expect(civil(at)).toBeGreaterThanOrEqual(7);
      expect(civil(at)).toBeLessThan(20);
    }
  });

  it('air their rooms for some minutes on some days, but not in deep cold', () => {
    const airings = (
      weather: number,
      habits: { airings: boolean },
    ): { at: Instant; dip: number }[] => {
      const house = heard(nook({ devices: [], plugs: [] }), { habits, weather: () => weather });
      const seen: { at: Instant; dip: number }[] = [];
      let before = Number.NaN;
      house.go(END, () => {
        const { rooms, at } = house.simulator.house;
        const now = rooms.get('nook') ?? Number.NaN;
        if (before - now > 1) seen.push({ at, dip: before - now });
        before = now;
      });
      return seen;
    };
    expect(airings(0, { airings: false })).toEqual([]);
    expect(airings(-20, { airings: true })).toEqual([]);
    const aired = airings(0, { airings: true });
    expect(aired.length).toBeGreaterThan(DAYS / 4);
    expect(aired.length).toBeLessThan(DAYS);
    for (const { at, dip } of aired) {
      expect(dip).toBeLessThan(8);
      expect(civil(at)).toBeGreaterThanOrEqual(8);
      expect(civil(at)).toBeLessThan(21);
    }
  });
});

describe('the mains of the simulated house', () => {
  it('wander by as much as they are told to, and the power of a heater by twice that', () => {
    const swing = (voltSpread: number): { volts: number; watts: number } => {
      const house = heard(nook(), { habits: { waterChanges: false, voltSpread } });
      const volts: number[] = [];
      const watts: number[] = [];
      house.go(later(START, 5 * DAY), () => {
        volts.push(house.simulator.house.mains);
        const drawn = house.simulator.house.devices.get('reed-heater')?.watts ?? 0;
        if (drawn > 0) watts.push(drawn);
      });
      const part = (values: number[]): number =>
        (Math.max(...values) - Math.min(...values)) / (Math.max(...values) + Math.min(...values));
      return { volts: part(volts), watts: part(watts) };
    };
    const wide = swing(0.06);
    expect(wide.volts).toBeGreaterThan(0.06);
    expect(wide.volts).toBeLessThan(0.08);
    expect(wide.watts / wide.volts).toBeGreaterThan(1.7);
    expect(wide.watts / wide.volts).toBeLessThan(2.1);
    expect(swing(0.012).volts).toBeLessThan(0.03);
  });
});

describe('the radio of the simulated house', () => {
  it('loses some minutes of a plug now and then, of which the plug knows nothing', () => {
    const spec = nook({ plugs: [plug({ reporting: 'interval' })] });
    const silences = (lostReports: boolean): number[] => {
      const house = heard(spec, { habits: { waterChanges: false, lostReports } });
      house.go(END);
      expect(house.presence()).toEqual(['here']);
      const said = house.watts();
      return said
        .slice(1)
        .map(({ at }, index) => at - (said[index]?.at ?? 0))
        .filter((gap) => gap > INTERVAL);
    };
    expect(silences(false)).toEqual([]);
    const lost = silences(true);
    expect(lost.length).toBeGreaterThan(0);
    expect(lost.length).toBeLessThan(15);
    for (const gap of lost) expect(gap).toBeLessThanOrEqual(12 * MINUTE + 2 * INTERVAL);
  });
});

describe('the weather of the simulated house', () => {
  it('may be handed in', () => {
    const given = (at: Instant): number => Math.sin(at / HOUR);
    const house = heard(nook({ rooms: [{ id: 'nook', outdoors: true }] }), { weather: given });
    house.go(later(START, 2 * HOUR), () => {
      const { at, outdoors, rooms } = house.simulator.house;
      expect(outdoors).toBe(given(at));
      expect(rooms.get('nook')).toBe(outdoors);
    });
  });
});
