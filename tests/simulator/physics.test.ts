import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Fault } from '../../src/simulator/index.ts';
import { tankHeat, warmed } from '../../src/simulator/tank-heat.ts';
import { DAY, HOUR, type Instant, later, MINUTE } from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import {
  airOf,
  device,
  houseOf,
  isOn,
  nook,
  run,
  START,
  STEP,
  tank,
  waterOf,
  wattsOf,
} from './houses.ts';

/** W/K of the nook's tank: 1.6 m² at 6 W/(m²·K). */
const UA = 9.6;
/** J/K: 100 L of water and 25 kJ/K of glass and gravel. */
const C = 100 * 4186 + 25_000;

const dead = { kind: 'dead-heater', device: 'reed-heater', from: START } as const;
const stuck = { kind: 'stuck-on', device: 'reed-heater', from: START } as const;

describe('the heat of a simulated tank', () => {
  it('is that of its water and glass, and is lost through its walls and its open water', () => {
    expect(tankHeat(tank()).conductance).toBeCloseTo(UA, 9);
    expect(tankHeat(tank()).capacity).toBe(C);
    const open = tankHeat(tank({ openWater: 0.4 }));
    expect(open.conductance).toBeCloseTo(UA + 0.4 * 8, 9);
  });

  it('counts water with the heat capacity of the IAPWS formulation, within 0.3 %', () => {
    // Source: tests/reference/physics/SOURCE.md.
    const { iapws_if97_computed: water } = JSON.parse(
      readFileSync(
        new URL('../reference/physics/water_air_reference.json', import.meta.url),
        'utf8',
      ),
    ) as { iapws_if97_computed: { rows: { t_C: number; cp_kJ_kgK_101325Pa: number }[] } };
    const warm = water.rows.filter(({ t_C }) => t_C >= 15 && t_C <= 30);
    expect(warm.length).toBeGreaterThan(5);
    const perLiter =
      tankHeat(tank({ waterLiters: 2 })).capacity - tankHeat(tank({ waterLiters: 1 })).capacity;
    for (const { cp_kJ_kgK_101325Pa: cp } of warm) {
      expect(Math.abs(perLiter / (1000 * cp) - 1)).toBeLessThan(0.003);
    }
  });

  it('follows C dT/dt = P − UA·(T − T_room), however a time is cut into steps', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 2, max: 35 }),
        fc.integer({ min: -30, max: 35 }),
        fc.integer({ min: -300, max: 1500 }),
        fc.integer({ min: 60, max: 86_400 }),
        (start, room, watts, seconds) => {
          const heat = tankHeat(tank());
          const whole = warmed(heat, start, watts, room, seconds);
          const half = warmed(heat, start, watts, room, seconds / 2);
          expect(warmed(heat, half, watts, room, seconds / 2)).toBeCloseTo(whole, 9);
          // Against the equation itself, taken second by second by the midpoint rule.
          const slope = (t: number): number => (watts - UA * (t - room)) / C;
          let stepped = start;
          const ds = seconds / 400;
          for (let n = 0; n < 400; n += 1) {
            stepped += slope(stepped + (slope(stepped) * ds) / 2) * ds;
          }
          expect(stepped).toBeCloseTo(whole, 3);
        },
      ),
      runs(100),
    );
  });

  it('falls toward the room along an exponential once the heater is dead', () => {
    const house = houseOf(nook(), { faults: [dead] });
    const tau = C / UA;
    let exact = waterOf(house);
    run(house, later(START, 10 * HOUR), () => {
      // Within a step the room stands at what it was before.
      expect(wattsOf(house)).toBe(0);
    });
    // The room is kept within a few tenths, so the closed form over all ten hours is near.
    const room = airOf(house);
    exact = room + (exact - room) * Math.exp((-10 * 3600) / tau);
    expect(Math.abs(waterOf(house) - exact)).toBeLessThan(0.2);
    expect(waterOf(house)).toBeLessThan(22);

    run(house, later(START, 12 * DAY));
    expect(Math.abs(waterOf(house) - airOf(house))).toBeLessThan(0.1);
  });

  it('is held with the duty that the lost heat asks for', () => {
    const house = houseOf(nook());
    run(house, later(START, DAY));
    let [heat, above, steps] = [0, 0, 0];
    run(house, later(START, 6 * DAY), () => {
      heat += wattsOf(house);
      above += waterOf(house) - airOf(house);
      steps += 1;
    });
    const lost = UA * (above / steps);
    expect(heat / steps).toBeGreaterThan(lost * 0.97);
    expect(heat / steps).toBeLessThan(lost * 1.03);
  });
});

describe('the balance of heat', () => {
  it('holds under any fault: what goes into the water is stored or lost', () => {
    const spec = nook({
      devices: [device(), device({ id: 'reed-filter', kind: 'filter', watts: 30, intoWater: 0.5 })],
    });
    const any = (kind: string, more: object) =>
      fc
        .record({ from: fc.integer({ min: 0, max: 20 }), hours: fc.integer({ min: 1, max: 20 }) })
        .map(
          ({ from, hours }) =>
            ({
              kind,
              ...more,
              from: later(START, from * HOUR),
              until: later(START, (from + hours) * HOUR),
            }) as Fault,
        );
    const heater = { device: 'reed-heater' };
    const faults = fc.array(
      fc.oneof(
        any('dry-heater', heater),
        any('stuck-on', heater),
        any('weak-heater', { ...heater, part: 0.5 }),
        any('chattering-heater', heater),
        any('lid-off', { tank: 'reed-tank', times: 1.6 }),
        any('open-window', { room: 'nook' }),
        any('power-cut', {}),
      ),
      { maxLength: 4 },
    );
    fc.assert(
      fc.property(faults, (struck) => {
        const house = houseOf(spec, { faults: struck, habits: { waterChanges: false } });
        const isDry = (): boolean =>
          struck.some(
            ({ kind, from, until = Number.POSITIVE_INFINITY }) =>
              kind === 'dry-heater' && house.at >= from && house.at < until,
          );
        const first = waterOf(house);
        let [water, air] = [first, airOf(house)];
        let balance = 0;
        run(house, later(START, 40 * HOUR), () => {
          const heat = (isDry() ? 0 : wattsOf(house)) + 0.5 * wattsOf(house, 'reed-filter');
          const above = (water + waterOf(house)) / 2 - air;
          const lost = (house.lossOf('reed-tank') ?? Number.NaN) * above;
          balance += ((heat - lost) * STEP) / 1000;
          [water, air] = [waterOf(house), airOf(house)];
        });
        // Within a step the room stands still, so the mean of both ends is near the closed form.
        expect(Math.abs(balance / C - (water - first))).toBeLessThan(1e-4);
      }),
      runs(40),
    );
  });
});

describe('a simulated thermostat', () => {
  it('switches on below its band, off above it, and nowhere within', () => {
    const house = houseOf(nook());
    const switchings: { on: boolean; water: number }[] = [];
    let was = isOn(house);
    let before = waterOf(house);
    run(house, later(START, 4 * DAY), () => {
      if (isOn(house) !== was) switchings.push({ on: isOn(house), water: before });
      was = isOn(house);
      before = waterOf(house);
    });
    const ons = switchings.filter(({ on }) => on).map(({ water }) => water);
    const offs = switchings.filter(({ on }) => !on).map(({ water }) => water);
    expect(ons.length).toBeGreaterThan(10);
    expect(offs.length).toBeGreaterThan(10);
    const spread = (values: number[]): number => Math.max(...values) - Math.min(...values);
    // A water change switches it on from wherever it is, and ends with its plug pulled back in.
    const usual = (values: number[]): number =>
      [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;
    expect(usual(offs) - usual(ons)).toBeGreaterThan(0.45);
    expect(usual(offs) - usual(ons)).toBeLessThan(0.6);
    expect(spread(offs)).toBeLessThan(0.6);
  });

  it('has a chiller cool the water to its band, and the room take the heat', () => {
    const spec = nook({
      tanks: [tank({ set: 16 })],
      devices: [device({ id: 'cooler', kind: 'chiller', watts: 80 })],
    });
    const house = houseOf(spec, { faults: [] });
    let [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
    let ran = 0;
    run(house, later(START, 3 * DAY), () => {
      least = Math.min(least, waterOf(house));
      most = Math.max(most, waterOf(house));
      ran += isOn(house, 'cooler') ? STEP : 0;
    });
    expect(least).toBeGreaterThan(14.5);
    expect(most).toBeLessThan(16.6);
    expect(ran).toBeGreaterThan(HOUR);
    expect(ran).toBeLessThan(2 * DAY);
  });
});

describe('a water change', () => {
  it('comes about once a week, at a civil hour, and leaves the heater unplugged meanwhile', () => {
    const spec = nook();
    const house = houseOf(spec);
    const changes: Instant[] = [];
    let known = 0 as Instant;
    run(house, later(START, 60 * DAY), () => {
      const until = house.tanks.get('reed-tank')?.tendedUntil ?? known;
      if (until !== known) changes.push(house.at);
      known = until;
      if (house.at < until) expect(isOn(house)).toBe(false);
    });
    expect(changes.length).toBeGreaterThanOrEqual(7);
    expect(changes.length).toBeLessThanOrEqual(10);
    const hour = new Intl.DateTimeFormat('en-GB', { timeZone: spec.zone, hour: 'numeric' });
    for (const change of changes) {
      expect(Number(hour.format(change))).toBeGreaterThanOrEqual(10);
      expect(Number(hour.format(change))).toBeLessThan(20);
    }
    changes.slice(1).forEach((change, index) => {
      const since = change - (changes[index] as Instant);
      expect(since).toBeGreaterThan(5 * DAY);
      expect(since).toBeLessThan(9 * DAY);
    });
  });
});

describe('faults in the simulated house', () => {
  it('raise the water above the band while a relay is stuck, until it is put right', () => {
    const until = later(START, 8 * HOUR);
    const house = houseOf(nook(), { faults: [{ ...stuck, until }] });
    let drew = true;
    run(house, until, () => {
      if (house.at < until) drew &&= isOn(house);
    });
    expect(drew).toBe(true);
    expect(waterOf(house)).toBeGreaterThan(27);
    run(house, later(until, 2 * DAY));
    expect(waterOf(house)).toBeLessThan(25.4);
    expect(waterOf(house)).toBeGreaterThan(24);
  });

  it('lower the room on a cold night whose heater has tripped, and let it recover by day', () => {
    const winter = later(START, -80 * DAY);
    const spec = nook({
      devices: [
        device(),
        device({ id: 'stove', kind: 'room-heater', watts: 1500, tank: undefined }),
      ],
    });
    const from = later(winter, 2 * DAY);
    const until = later(from, 12 * HOUR);
    const plain = houseOf(spec, { start: winter });
    const house = houseOf(spec, { start: winter, faults: [{ kind: 'cold-night', from, until }] });
    run(house, later(from, -STEP));
    run(plain, later(from, -STEP));
    expect(airOf(house)).toBe(airOf(plain));
    expect(house.outdoors).toBe(plain.outdoors);
    let coldest = Number.POSITIVE_INFINITY;
    run(house, until, () => {
      coldest = Math.min(coldest, house.outdoors);
      if (house.at < until) expect(isOn(house, 'stove')).toBe(false);
    });
    run(plain, until);
    expect(airOf(plain) - airOf(house)).toBeGreaterThan(4);
    expect(house.outdoors).toBeCloseTo(plain.outdoors, 6);
    run(house, later(until, 8 * HOUR));
    expect(airOf(house)).toBeGreaterThan(18);
    expect(coldest).toBeLessThan(plain.outdoors - 5);
  });

  it('change nothing but what they touch: the weather is the same with and without', () => {
    const plain = houseOf(nook());
    const house = houseOf(nook(), { faults: [stuck] });
    run(plain, later(START, 2 * DAY));
    run(house, later(START, 2 * DAY));
    expect(house.outdoors).toBe(plain.outdoors);
    expect(waterOf(house)).toBeGreaterThan(waterOf(plain) + 3);
  });
});

describe('a simulated timer', () => {
  it('takes a step as long as a few minutes without losing its hours', () => {
    const lamp = device({
      id: 'lamp',
      kind: 'light',
      schedule: [{ from: 9 * 60, to: 13 * 60 }],
    });
    const house = houseOf(nook({ devices: [lamp] }));
    let on = 0;
    run(
      house,
      later(START, 10 * DAY),
      () => {
        on += isOn(house, 'lamp') ? 2 * MINUTE : 0;
      },
      2 * MINUTE,
    );
    expect(on).toBe(10 * 4 * HOUR);
  });
});
