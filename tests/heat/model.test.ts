import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  afterStep,
  equilibrium,
  heatIntoWater,
  heatLoss,
  modelFromGeometry,
  priorFromGeometry,
  timeConstantH,
  warmingRate,
} from '../../src/heat/index.ts';
import { runs } from '../units/runs.ts';

const model = { lossWPerK: 8, offsetW: 12, storeJPerK: 8 * 15 * 3600 };

describe('a tank as one lump of heat', () => {
  it('rests where its heat is lost again', () => {
    const rest = equilibrium(model, 20, 60);
    expect(rest).toBe(26);
    expect(heatLoss(model, rest, 20)).toBe(60);
    expect(warmingRate(model, { tankC: rest, roomC: 20, heatW: 60 })).toBe(0);
  });

  it('cools by the closed form: to 1/e of the way within one time constant', () => {
    const cooled = afterStep(model, { tankC: 26, roomC: 20, heatW: 12 }, timeConstantH(model));
    expect(cooled).toBeCloseTo(20 + 6 / Math.E, 12);
  });

  it('goes by its warming rate in small steps as by the closed form in one', () => {
    let tankC = 22;
    for (let second = 0; second < 4 * 3600; second += 2) {
      tankC += (warmingRate(model, { tankC, roomC: 18, heatW: 150 }) * 2) / 3600;
    }
    expect(tankC).toBeCloseTo(afterStep(model, { tankC: 22, roomC: 18, heatW: 150 }, 4), 3);
  });

  it('comes to the same in one step as in two', () => {
    const c = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    fc.assert(
      fc.property(
        c(5, 35),
        c(-5, 30),
        c(0, 500),
        c(0, 48),
        c(0, 48),
        (tankC, roomC, heatW, a, b) => {
          const once = afterStep(model, { tankC, roomC, heatW }, a + b);
          const half = afterStep(model, { tankC, roomC, heatW }, a);
          expect(afterStep(model, { tankC: half, roomC, heatW }, b)).toBeCloseTo(once, 9);
        },
      ),
      runs(),
    );
  });
});

describe('the model from geometry', () => {
  const shape = { housing: 'aquarium', volume_l: 180, walls: 'glass', lid: false } as const;
  const setting = { tankC: 25, roomC: 19, humidity: 0.5 };
  const line = modelFromGeometry(shape, setting);
  const ray = priorFromGeometry(shape, setting);

  it('loses at its setting what the straight line through zero loses', () => {
    if (line === undefined || ray === undefined) throw new Error('no model');
    expect(heatLoss(line, 25, 19)).toBeCloseTo(ray.lossWPerK * 6, 9);
    expect(line.storeJPerK).toBe(ray.storeJPerK);
  });

  it('still loses by evaporation in a room as warm as the water, most without a lid', () => {
    expect(line?.offsetW).toBeGreaterThan(5);
    const covered = modelFromGeometry({ ...shape, lid: true }, setting);
    expect(covered?.offsetW).toBeCloseTo((line?.offsetW ?? 0) / 10, 9);
  });

  it('is not there where no size is told', () => {
    expect(modelFromGeometry({ ...shape, volume_l: undefined }, setting)).toBeUndefined();
  });
});

describe('the heat of devices that ends in the water', () => {
  it('goes by where they usually are', () => {
    const usual = (kind: string) => heatIntoWater({ kind });
    expect(usual('heater')).toBe(1);
    expect(usual('pump')).toBe(1);
    expect(usual('filter')).toBe(0.7);
    expect(usual('light')).toBe(0.4);
    expect(usual('air-pump')).toBe(0.1);
    expect(usual('chiller')).toBe(0);
    expect(usual('room-heater')).toBe(0);
    expect(usual('constructor')).toBe(0);
  });

  it('goes by what the keeper says, none of it too', () => {
    expect(heatIntoWater({ kind: 'pump', heat_into_water: 0.7 })).toBe(0.7);
    expect(heatIntoWater({ kind: 'light', heat_into_water: 0 })).toBe(0);
    expect(heatIntoWater({ kind: 'other', heat_into_water: 1 })).toBe(1);
  });
});
