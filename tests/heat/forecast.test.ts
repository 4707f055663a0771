import { describe, expect, it } from 'vitest';
import {
  coldestRoom,
  emptyHeatMemory,
  expectedDuty,
  fitOf,
  type HeatFit,
  heaterNeed,
  hoursLeft,
  hoursToLimit,
  temperatureAfter,
  tradeHeaterW,
  warmestHeld,
} from '../../src/heat/index.ts';
import { runs } from '../units/runs.ts';
import { fittedTo } from './learned.ts';
import { type Simulated, simulateTank } from './simulated-tank.ts';

const SLOTS_A_DAY = 96;

type Now = { readonly tankC: number; readonly roomC: number; readonly otherW: number };
const ifHeatersStop = (fit: HeatFit, now: Now, minC: number) =>
  hoursLeft(fit, { ...now, heatingW: 0 }, minC, 'below');
const ifStuckOn = (fit: HeatFit, now: Now, heatingW: number, maxC: number) =>
  hoursLeft(fit, { ...now, heatingW }, maxC, 'above');

const mean = (values: readonly number[]) =>
  values.reduce((sum, value) => sum + value, 0) / values.length;
const tanks = Array.from({ length: runs(100).numRuns }, (_, i) => {
  const tank = simulateTank({ seed: 5_000 + i, days: 21 });
  return { tank, fit: fittedTo(tank, tank.slots.slice(0, 14 * SLOTS_A_DAY)) };
});

/** The part of all tanks for which it is true. */
const part = (of: (it: (typeof tanks)[number]) => boolean): number =>
  tanks.filter(of).length / tanks.length;

/** A tank known without a doubt. */
const sure = fitOf(emptyHeatMemory, { lossWPerK: 8, offsetW: 16, storeJPerK: 8 * 3600 * 20 });

describe('the duty to expect', () => {
  it('is the heat that is lost, less that of other devices, by what the heaters give', () => {
    const at = { tankC: 25, roomC: 19, otherW: 14, heaterW: 100 };
    expect(expectedDuty(sure, at, { hours: 12, bandK: 0.4 })?.value).toBeCloseTo(0.5, 9);
    expect(expectedDuty(sure, { ...at, roomC: 30 }, { hours: 12, bandK: 0.4 })?.value).toBe(0);
    expect(expectedDuty(sure, { ...at, roomC: -5 }, { hours: 12, bandK: 0.4 })?.value).toBe(1);
    expect(expectedDuty(sure, { ...at, heaterW: 0 }, { hours: 12, bandK: 0 })).toBeUndefined();
  });

  it('has a band that 99 % of the half-days to come stay within', () => {
    let within = 0;
    let all = 0;
    let width = 0;
    for (const { tank, fit } of tanks) {
      for (let from = 14 * SLOTS_A_DAY; from < 21 * SLOTS_A_DAY; from += 48) {
        const slots = tank.slots.slice(from, from + 48);
        const at = {
          tankC: mean(slots.map(({ tankC }) => tankC ?? Number.NaN)),
          roomC: mean(slots.map(({ roomC }) => roomC ?? Number.NaN)),
          otherW: mean(slots.map(({ otherW }) => otherW)),
          heaterW: tank.heaterW,
        };
        const duty = mean(slots.map(({ heaterW }) => heaterW)) / tank.heaterW;
        const band = expectedDuty(fit, at, { hours: 12, bandK: tank.band }, 0.99);
        if (band === undefined) throw new Error('no duty');
        if (band.low <= duty && duty <= band.high) within += 1;
        width += band.high - band.low;
        all += 1;
      }
    }
    expect(within / all).toBeGreaterThan(0.99);
    // Narrow enough to see a lid that is off: a fifth of the heaters' power.
    expect(width / all).toBeLessThan(0.2);
  });
});

describe('what the heaters must give', () => {
  it('counts of other devices only what is found to arrive, for every forecast', () => {
    const half = { ...sure, otherFactor: 0.5 };
    expect(heaterNeed(half, 6, 20)).toBe(8 * 6 + 16 - 10);
    expect(coldestRoom(half, { tankC: 25, otherW: 20, heaterW: 110 }).value).toBeCloseTo(12, 9);
    expect(warmestHeld(half, { tankC: 25, roomC: 12, otherW: 20, heaterW: 110 })).toBeCloseTo(
      25,
      9,
    );
    const plain = { tankC: 25, roomC: 17 };
    expect(ifHeatersStop(half, { ...plain, otherW: 32 }, 21)).toEqual(
      ifHeatersStop(sure, { ...plain, otherW: 16 }, 21),
    );
    expect(ifStuckOn(half, { ...plain, otherW: 32 }, 160, 28)).toEqual(
      ifStuckOn(sure, { ...plain, otherW: 16 }, 160, 28),
    );
  });
});

describe('the coldest room that the heaters hold', () => {
  it('is where they draw all the time', () => {
    const at = { tankC: 25, otherW: 16, heaterW: 120 };
    const coldest = coldestRoom(sure, at);
    expect(coldest.value).toBeCloseTo(10, 9);
    expect(warmestHeld(sure, { ...at, roomC: 10 })).toBeCloseTo(25, 9);
    expect(warmestHeld(sure, { ...at, roomC: 8 })).toBeCloseTo(23, 9);
  });

  it('is true of random tanks within its band, far below any room they have seen', () => {
    const held = part(({ tank, fit }) => {
      const { set, heaterW, truth } = tank;
      const coldest = coldestRoom(fit, { tankC: set, otherW: 0, heaterW });
      const real = set - (heaterW - truth.offsetW) / truth.lossWPerK;
      return coldest.low <= real && real <= coldest.high;
    });
    expect(held).toBeGreaterThanOrEqual(0.9);
  });

  it('stands beside what the trade would fit', () => {
    expect(tradeHeaterW(100)).toEqual([80, 130]);
  });
});

describe('the hours that are left', () => {
  const at = { tankC: 25, roomC: 17, otherW: 16 };

  it('follow the closed form', () => {
    // The other devices make up for the offset: a plain exponential towards the room.
    expect(ifHeatersStop(sure, at, 21).hours).toBeCloseTo(20 * Math.log(2), 9);
    // 160 W rest 20 K above the room: from 8 to 11 of those.
    expect(ifStuckOn(sure, at, 160, 28).hours).toBeCloseTo(20 * Math.log(12 / 9), 9);
  });

  it('are never, or none', () => {
    expect(ifHeatersStop(sure, at, 16)).toMatchObject({ hours: undefined, latest: undefined });
    expect(ifHeatersStop(sure, at, 25.5)).toEqual({ hours: 0, soonest: 0, latest: 0 });
    expect(ifStuckOn(sure, at, 40, 28).hours).toBeUndefined();
  });

  it('warn by the soonest where only the far end of the interval gets there', () => {
    // Rests at 27.9 °C by the best guess; a tank that loses less would pass 28 °C.
    const edge = ifStuckOn(sure, at, 87.5, 28);
    expect(edge.hours).toBeUndefined();
    expect(edge.soonest).toBeGreaterThan(0);
    expect(edge.latest).toBeUndefined();
  });

  it.each(['stop', 'stick'] as const)('hold the truth of random tanks when heaters %s', (what) => {
    const real = ({ truth, prior }: Simulated, store: number) => ({
      lossWPerK: truth.lossWPerK,
      timeConstantH: (prior.storeJPerK * store) / truth.lossWPerK / 3600,
    });
    const held = part(({ tank, fit }) => {
      const { set, heaterW, truth } = tank;
      const now = { tankC: set, roomC: 18, otherW: 0 };
      const limit = what === 'stop' ? set - 3 : set + 2;
      const left =
        what === 'stop' ? ifHeatersStop(fit, now, limit) : ifStuckOn(fit, now, heaterW, limit);
      const heatingW = (what === 'stop' ? 0 : heaterW) - truth.offsetW;
      // The simulation's tanks store up to 6 % more or less than their geometry says.
      const hours = [0.94, 1.06].map((store) =>
        hoursToLimit(
          real(tank, store),
          { ...now, heatingW },
          limit,
          what === 'stop' ? 'below' : 'above',
        ),
      );
      const [low = Number.NaN, high = Number.NaN] = hours;
      return (left.soonest ?? Infinity) <= low && high <= (left.latest ?? Infinity);
    });
    expect(held).toBeGreaterThanOrEqual(0.9);
  });

  it('end, when waited for, at the limit', () => {
    const { hours } = ifHeatersStop(sure, at, 22.5);
    const course = { tankC: 25, roomC: 17, heatingW: 16 - 16 };
    expect(temperatureAfter(sure, course, hours ?? Number.NaN)).toBeCloseTo(22.5, 9);
  });
});
