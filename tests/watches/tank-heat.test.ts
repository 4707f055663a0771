import { assert, double, integer, property, record } from 'fast-check';
import { describe, expect, it } from 'vitest';
import { afterStep } from '../../src/heat/index.ts';
import { DAY, HOUR, type Instant, instant, later } from '../../src/units/index.ts';
import { watchesConfig } from '../../src/watches/config.ts';
import {
  createSights,
  type Evidence,
  planWatches,
  see,
  type WatchedSite,
} from '../../src/watches/index.ts';
import {
  holdsDownTo,
  learnedHeat,
  needW,
  noteReckoned,
  noteTimeBack,
  noteTimeLeft,
  type TankHeat,
  timeToLimit,
} from '../../src/watches/tank-heat.ts';
import { runs } from '../units/runs.ts';
import { fitted, MODEL } from './fitted.ts';

const prior = {
  known: 'reckoned',
  lossWPerK: 6,
  evaporationWPerK: 1,
  storeJPerK: MODEL.storeJPerK,
  timeConstantH: MODEL.storeJPerK / 6 / 3600,
} as const;

const reckoned: TankHeat = {
  keep: { min: 21, max: 28 },
  prior,
  learned: undefined,
  middle: 25,
  room: 17,
};
/** Its other devices make up for the offset: what is left is 8 W a kelvin. */
const learned: TankHeat = { ...reckoned, learned: { fit: fitted(), otherW: 16 } };

describe('the time until the kept range is reached again', () => {
  const back = (tank: TankHeat, from: 'too-warm' | 'too-cold', heatingW: number) => {
    const proof: Evidence[] = [];
    noteTimeBack(proof, tank, from, heatingW);
    return proof[0]?.value;
  };

  it('follows the closed form on either side', () => {
    // 20 h · ln(13 K / 11 K) from 30 °C to 28; 160 W rest at 37 °C: 20 h · ln(17 K / 16 K) to 21.
    const warm = back({ ...learned, middle: 30 }, 'too-warm', 0);
    expect((warm ?? 0) / HOUR).toBeCloseTo(20 * Math.log(13 / 11), 5);
    const cold = back({ ...learned, middle: 20 }, 'too-cold', 160);
    expect((cold ?? 0) / HOUR).toBeCloseTo(20 * Math.log(17 / 16), 5);
  });

  it('is not there where the room, or the heater, does not allow it', () => {
    expect(back({ ...learned, middle: 30, room: 29 }, 'too-warm', 0)).toBeUndefined();
    expect(back({ ...learned, middle: 20 }, 'too-cold', 8 * 3)).toBeUndefined();
  });
});

describe('the time until the kept range is left', () => {
  it('follows the closed form of what was learned, with its band', () => {
    // 20 h · ln(8 K / 4 K); with 7.6 and 8.4 W/K, turned about a difference of 5 K, 13.933 and
    // 13.796 h; the store may be a tenth more or less.
    const { value = 0, low = 0, high = 0 } = timeToLimit(learned, 'below', 0) ?? {};
    expect(value / HOUR).toBeCloseTo(20 * Math.log(2), 6);
    expect(low / HOUR).toBeCloseTo(0.9 * 13.796, 2);
    expect(high / HOUR).toBeCloseTo(1.1 * 13.933, 2);
    // 160 W rest 20 K above the room: 20 h · ln(12 K / 9 K).
    const stuck = timeToLimit(learned, 'above', 160);
    expect((stuck?.value ?? 0) / HOUR).toBeCloseTo(20 * Math.log(12 / 9), 6);
  });

  it('goes by geometry, without a band, until enough is learned', () => {
    const tau = MODEL.storeJPerK / 6 / 3600;
    expect(timeToLimit(reckoned, 'below', 0)).toEqual({
      value: Math.round(tau * Math.log(2) * HOUR),
    });
  });

  it('is not there where it never comes, or where nothing is known', () => {
    expect(timeToLimit(learned, 'above', 40)).toBeUndefined();
    expect(timeToLimit({ ...learned, middle: 20.5 }, 'below', 0)?.value).toBe(0);
    expect(timeToLimit({ ...learned, room: undefined }, 'below', 0)).toBeUndefined();
    expect(timeToLimit({ ...learned, middle: undefined }, 'below', 0)).toBeUndefined();
    expect(timeToLimit({ ...reckoned, prior: undefined }, 'below', 0)).toBeUndefined();
  });

  it('lies in its band, and ends at the limit when it is waited for', () => {
    const any = (min: number, max: number) => double({ min, max, noNaN: true });
    const tanks = record({
      lossWPerK: any(0.5, 60),
      offsetW: any(-5, 60),
      hours: any(2, 120),
      factor: any(0.3, 1.5),
      middle: any(21, 28),
      room: any(-10, 40),
      otherW: any(0, 80),
      heatingW: integer({ min: 0, max: 600 }),
    });
    let reached = 0;
    assert(
      property(tanks, ({ lossWPerK, offsetW, hours, factor, middle, room, otherW, heatingW }) => {
        const model = { lossWPerK, offsetW, storeJPerK: lossWPerK * 3600 * hours };
        const fit = fitted(model, { otherFactor: factor });
        const tank = { ...reckoned, middle, room, learned: { fit, otherW } };
        for (const side of ['above', 'below'] as const) {
          const left = timeToLimit(tank, side, heatingW);
          if (left === undefined) continue;
          reached += 1;
          expect(left.low ?? -1).toBeLessThanOrEqual(left.value);
          expect(left.high ?? Infinity).toBeGreaterThanOrEqual(left.value);
          const heatW = heatingW + factor * otherW;
          const then = afterStep(fit, { tankC: middle, roomC: room, heatW }, left.value / HOUR);
          // A time in whole milliseconds.
          expect(Math.abs(then - tank.keep[side === 'above' ? 'max' : 'min'])).toBeLessThan(1e-3);
        }
      }),
      runs(500),
    );
    expect(reached).toBeGreaterThan(100);
  });
});

describe('what the heaters must give, and can', () => {
  it('counts offset and other devices, with the band of what was learned', () => {
    // 8 W/K · 10 K + 16 W − 16 W; 1.96 · √(0.2² · 10² + 1²) W.
    const { value, low, high } = needW(learned, 10) ?? { value: 0 };
    expect(value).toBeCloseTo(80, 9);
    expect(low).toBeCloseTo(80 - 1.96 * Math.sqrt(5), 3);
    expect(high).toBeCloseTo(80 + 1.96 * Math.sqrt(5), 3);
    expect(needW(reckoned, 10)).toEqual({ value: 60 });
  });

  it('says how cold the room may get', () => {
    // 21 °C − 120 W / 8 W/K; 1.96 · √(0.2² · 15² + 1²) W over 8 W/K.
    const { value, low, high } = holdsDownTo(learned, 120) ?? { value: 0 };
    expect(value).toBeCloseTo(6, 9);
    expect(low).toBeCloseTo(6 - (1.96 * Math.sqrt(10)) / 8, 3);
    expect(high).toBeCloseTo(6 + (1.96 * Math.sqrt(10)) / 8, 3);
    expect(holdsDownTo(reckoned, 120)).toEqual({ value: 1 });
    expect(holdsDownTo({ ...reckoned, prior: undefined }, 120)).toBeUndefined();
  });
});

const now = instant(Date.UTC(2026, 2, 3));

describe('the heat of other devices now', () => {
  const site: WatchedSite = {
    rooms: { shed: {} },
    tanks: {
      moss: {
        ...{ room: 'shed', housing: 'aquarium', walls: 'glass', lid: true, volume_l: 120 },
        keep_c: { min: 21, max: 28 },
      },
    },
    probes: {},
    plugs: { lamp: { reporting: 'interval' }, filter: { reporting: 'interval' } },
    devices: {
      'moss-heater': { kind: 'heater', nameplate_w: 150, tank: 'moss' },
      'moss-lamp': { kind: 'light', nameplate_w: 50, plug: 'lamp', tank: 'moss' },
      'moss-filter': { kind: 'filter', nameplate_w: 20, plug: 'filter', tank: 'moss' },
      // No part of its heat is counted when the tank is learned, so none is now.
      blower: { kind: 'air-pump', nameplate_w: 12, shares: { moss: 1 } },
      cooler: { kind: 'fan', nameplate_w: 5, tank: 'moss' },
    },
    watches: watchesConfig.parse({}),
  };
  const usual = fitted(MODEL, { meanOtherW: 11 });

  function heatOf(changes: Partial<WatchedSite['devices']> = {}, filterAt: Instant = now) {
    const devices = { ...site.devices, ...changes } as WatchedSite['devices'];
    const plan = planWatches({ ...site, devices });
    const sights = createSights(plan);
    const say = (id: string, value: number, at: Instant) =>
      see(sights, {
        ...{ from: 'plug', measure: 'power', id, value, at, arrived: at, retained: false },
      });
    say('filter', 18, filterAt);
    say('lamp', 50, now);
    const tank = plan.tanks.get('moss');
    if (tank === undefined) throw new Error('no tank');
    return learnedHeat(sights, tank, usual, now)?.otherW;
  }

  it('is what each draws, as far as it ends in the water', () => {
    expect(heatOf()).toBeCloseTo(0.4 * 50 + 0.7 * 18, 9);
    const lamp = { ...site.devices['moss-lamp'], heat_into_water: 0.1 } as never;
    expect(heatOf({ 'moss-lamp': lamp })).toBeCloseTo(0.1 * 50 + 0.7 * 18, 9);
  });

  it('is what it was on average when one of them is not heard, or has no plug', () => {
    expect(heatOf({}, later(now, -2 * HOUR))).toBe(11);
    const pump = { kind: 'pump', nameplate_w: 9, tank: 'moss' };
    expect(heatOf({ 'moss-pump': pump })).toBe(11);
  });

  it('is of no use before enough is learned', () => {
    const plan = planWatches(site);
    const tank = plan.tanks.get('moss');
    if (tank === undefined) throw new Error('no tank');
    const young = fitted(MODEL, { status: 'not-enough-days', known: 'reckoned' });
    expect(learnedHeat(createSights(plan), tank, young, now)).toBeUndefined();
    expect(learnedHeat(createSights(plan), tank, undefined, now)).toBeUndefined();
  });
});

describe('the evidence of what is reckoned', () => {
  it('has its band, and says once over how many days it was learned', () => {
    const proof: Evidence[] = [];
    noteReckoned(proof, learned, 'short-by', { value: 40, low: 36, high: 44 }, 'W');
    noteTimeLeft(proof, learned, 'min', 0);
    expect(proof.map(({ what }) => what)).toEqual(['short-by', 'learned-over', 'time-to-kept-min']);
    expect(proof[0]).toMatchObject({ value: 40, low: 36, high: 44 });
    expect(proof[1]).toMatchObject({ value: 12 * DAY, unit: 'ms' });
  });

  it('says so for each tank it is of', () => {
    const proof: Evidence[] = [];
    for (const id of ['moss', 'fern']) {
      const subject = { kind: 'tank', id } as const;
      noteReckoned(proof, learned, 'holds-down-to', { value: 9 }, 'C', subject);
    }
    expect(proof.map(({ what, subject }) => `${what} ${subject?.id}`)).toEqual([
      'holds-down-to moss',
      'learned-over moss',
      'holds-down-to fern',
      'learned-over fern',
    ]);
  });

  it('is plain where it goes by geometry, and not there where nothing is known', () => {
    const proof: Evidence[] = [];
    noteReckoned(proof, reckoned, 'short-by', { value: 40 }, 'W');
    noteReckoned(proof, reckoned, 'heat-worth', undefined, 'K');
    noteReckoned(proof, reckoned, 'heat-worth', { value: Number.NaN }, 'K');
    expect(proof).toEqual([{ what: 'short-by', value: 40, unit: 'W', at: undefined }]);
  });
});
