import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  emptyHeatMemory,
  fitOf,
  forecastNight,
  forecastRoom,
  type NightInput,
  scoreNight,
} from '../../src/heat/index.ts';
import {
  type Instant,
  type MicroUnits,
  microPerKwh,
  milliwattHours,
  SLOT,
} from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import { fittedTo } from './learned.ts';
import { simulateTank } from './simulated-tank.ts';

const SLOTS_A_DAY = 96;
/** 22:00 to 7:00. */
const NIGHT = { from: 88, length: 36 };

const fit = fitOf(emptyHeatMemory, { lossWPerK: 10, offsetW: 0, storeJPerK: 1e6 });
const steady = { roomC: new Array<number>(8).fill(19), errorK: 0.5, nights: 5 };
const input: NightInput = {
  from: (1_000 * SLOT) as Instant,
  room: steady,
  tankC: 25,
  bandK: 0.4,
  otherW: () => 20,
  heaterW: 200,
  price: () => microPerKwh(0.25),
};

describe('a night to come', () => {
  it('costs the heat that is lost, slot by slot at its price', () => {
    // (10 W/K × 6 K − 20 W) × 2 h = 80 Wh, at 0.25 a kWh 0.02.
    const night = forecastNight(fit, input);
    expect(night.energy.value).toBe(80_000);
    expect(night.cost?.value).toBe(20_000);
    expect(night.to - night.from).toBe(8 * SLOT);
    expect(night).toMatchObject({ roomC: 19, tankC: 25, shortSlots: 0, known: 'reckoned' });
    // Half of the slots at twice the price.
    const dear = forecastNight(fit, {
      ...input,
      price: (slot) => microPerKwh(slot < 1_004 * SLOT ? 0.25 : 0.5),
    });
    expect(dear.cost?.value).toBe(30_000);
  });

  it('draws no more than the heaters can, and says for how long that is too little', () => {
    const night = forecastNight(fit, { ...input, heaterW: 30 });
    expect(night.energy.value).toBe(60_000);
    expect(night.energy.high).toBe(60_000);
    expect(night.shortSlots).toBe(8);
  });

  it('has no cost where a price is missing', () => {
    const price = (slot: Instant) => (slot === 1_003 * SLOT ? undefined : microPerKwh(0.25));
    const night = forecastNight(fit, { ...input, price });
    expect(night.cost).toBeUndefined();
    expect(night.energy.value).toBe(80_000);
  });

  it('has a band around its value, wider the less the room is known', () => {
    const c = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    fc.assert(
      fc.property(c(5, 32), c(0, 3), c(-0.1, 1), (roomC, errorK, price) => {
        const at = (more: number) =>
          forecastNight(fit, {
            ...input,
            room: { roomC: new Array<number>(8).fill(roomC), errorK: errorK + more, nights: 3 },
            price: () => microPerKwh(price),
          });
        const [night, vague] = [at(0), at(1)];
        for (const figure of [night.energy, night.cost]) {
          expect(figure?.low).toBeLessThanOrEqual(figure?.value ?? Number.NaN);
          expect(figure?.high).toBeGreaterThanOrEqual(figure?.value ?? Number.NaN);
        }
        expect(night.energy.low).toBeGreaterThanOrEqual(0);
        expect(vague.energy.high).toBeGreaterThanOrEqual(night.energy.high);
      }),
      runs(),
    );
  });
});

describe('its score', () => {
  const night = forecastNight(fit, input);

  it('is the relative error, and whether the band held', () => {
    const actual = { energy: milliwattHours(100_000), cost: 25_000 as MicroUnits };
    expect(scoreNight(night, actual)).toEqual({
      energyError: -0.2,
      costError: -0.2,
      energyWithin: true,
      costWithin: true,
    });
    const far = { energy: milliwattHours(500_000), cost: undefined };
    expect(scoreNight(night, far)).toMatchObject({
      energyWithin: false,
      costError: undefined,
      costWithin: undefined,
    });
  });

  it('has no relative error of nothing', () => {
    const none = { energy: milliwattHours(0), cost: 0 as MicroUnits };
    expect(scoreNight(night, none)).toMatchObject({ energyError: undefined, costError: undefined });
  });
});

describe('the air of a night to come', () => {
  const night = (level: number) => [level + 1, level, level - 1];
  const round = (values?: readonly number[]) => values?.map((value) => Number(value.toFixed(9)));

  it('goes as its nights went', () => {
    const room = forecastRoom([night(19), night(19), night(19)], 3);
    expect(round(room?.roomC)).toEqual([20, 19, 18]);
    expect(room?.errorK).toBe(0.2);
    expect(room?.nights).toBe(3);
  });

  it('stands where this evening stands', () => {
    const room = forecastRoom([night(19), night(19), night(19)], 3, 18);
    expect(room?.roomC[0]).toBeCloseTo(18, 9);
    expect(room?.roomC[2]).toBeCloseTo(16, 0);
  });

  it('follows a trend by a part, and is less sure then', () => {
    const falling = forecastRoom([night(21), night(20), night(19), night(18)], 3);
    expect(falling?.roomC[1]).toBeLessThan(19);
    expect(falling?.errorK).toBeGreaterThan(0.5);
  });

  it('that begins later than the evening that is known: nearer to its usual course by then', () => {
    const evening = [20, 20, 20, 19, 18, 17];
    const nights = [evening, evening, evening, evening];
    const room = forecastRoom(nights, 3, 16, 3);
    // Four kelvin below the usual evening, of which e^(-3/48), e^(-4/48) and e^(-5/48) are left.
    expect(round(room?.roomC)).toEqual(
      [15.242348, 14.319822, 13.3957].map((value) => expect.closeTo(value, 5)),
    );
    expect(room?.errorK).toBe(0.2);
    // The same nights, but each of them came back from its evening to another degree.
    const strayed = nights.map((slots, i) =>
      slots.map((value, slot) => (slot < 3 ? value : value + (i % 2))),
    );
    expect(forecastRoom(strayed, 3, 16, 3)?.errorK).toBeGreaterThan(0.5);
    expect(forecastRoom(strayed, 3, 16, 3)?.roomC).toHaveLength(3);
  });

  it('bridges silent slots, leaves silent nights out, and is not there without any', () => {
    const holed = [19, undefined, 17];
    expect(forecastRoom([night(18), holed], 3)?.roomC[1]).toBeCloseTo(18, 0);
    const silent = [undefined, undefined, 18];
    expect(forecastRoom([silent, night(19)], 3)?.nights).toBe(1);
    expect(forecastRoom([silent], 3)).toBeUndefined();
    expect(forecastRoom([], 3)).toBeUndefined();
  });
});

describe('forecast for random tanks in the weather, and scored,', () => {
  const scores = Array.from({ length: runs(60).numRuns }, (_, i) => {
    const tank = simulateTank({ seed: 9_000 + i, days: 20, change: 2 });
    const { slots } = tank;
    const learnedFit = fittedTo(tank, slots.slice(0, 14 * SLOTS_A_DAY));
    return [14, 15, 16, 17, 18].map((day) => {
      const from = day * SLOTS_A_DAY + NIGHT.from;
      const cut = (start: number) => slots.slice(start, start + NIGHT.length);
      const nights = [7, 6, 5, 4, 3, 2, 1].map((ago) =>
        cut(from - ago * SLOTS_A_DAY).map(({ roomC }) => roomC),
      );
      const room = forecastRoom(nights, NIGHT.length, slots[from - 1]?.roomC);
      const start = slots[from]?.slot;
      if (room === undefined || start === undefined) throw new Error('no night');
      const forecast = forecastNight(learnedFit, {
        from: start,
        room,
        tankC: tank.set,
        bandK: tank.band,
        // Lamps as the night before.
        otherW: (slot) => slots[from - SLOTS_A_DAY + (slot - start) / SLOT]?.otherW ?? 0,
        heaterW: tank.heaterW,
        price: () => microPerKwh(0.2),
      });
      const drawn = tank.trueHeaterW.slice(from, from + NIGHT.length);
      const energy = milliwattHours(drawn.reduce((sum, watts) => sum + watts * 250, 0));
      return scoreNight(forecast, { energy, cost: Math.round(energy * 0.2) as MicroUnits });
    });
  }).flat();

  it('a night is off by no more than 15 %, as the median', () => {
    const errors = scores.map((score) => Math.abs(score.costError ?? 0)).sort((a, b) => a - b);
    expect(errors[errors.length >> 1]).toBeLessThan(0.15);
    expect(errors[errors.length >> 1]).toBeGreaterThan(0);
  });

  it('the band holds about 9 nights in 10', () => {
    const within = scores.filter((score) => score.energyWithin).length / scores.length;
    expect(within).toBeGreaterThan(0.82);
    expect(within).toBeLessThan(0.99);
  });
});
