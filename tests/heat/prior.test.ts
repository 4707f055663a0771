import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { boxOf, priorFromGeometry, type TankShape } from '../../src/heat/index.ts';

const tank: TankShape = {
  housing: 'aquarium',
  dimensions_cm: { length: 80, width: 35, height: 40 },
  walls: 'glass',
  lid: true,
};
const setting = { tankC: 25, roomC: 20, humidity: 0.5 };
const lossOf = (shape: TankShape) => priorFromGeometry(shape, setting)?.lossWPerK ?? Number.NaN;

describe('heat loss reckoned from geometry', () => {
  it('takes areas and water from the dimensions', () => {
    const box = boxOf(tank);
    expect(box?.sides).toBeCloseTo(2 * (0.8 + 0.35) * 0.4, 9);
    expect(box?.bottom).toBeCloseTo(0.28, 9);
    expect(box?.waterL).toBeCloseTo(100.8, 9);
  });

  it('lets the common heater sizes hold what the trade says they hold', () => {
    // Common practice, no source: a 75 L tank wants about 50, 75 or 150 W for 5, 10 or 15 K.
    const prior = priorFromGeometry({ ...tank, dimensions_cm: undefined, volume_l: 75 }, setting);
    const holds = (watts: number) => watts / (prior?.lossWPerK ?? 0);
    expect(holds(50)).toBeGreaterThan(5);
    expect(holds(150)).toBeGreaterThan(12);
    expect(holds(150)).toBeLessThan(30);
  });

  it('loses more without a lid, less through acrylic, least when insulated', () => {
    expect(lossOf({ ...tank, lid: false })).toBeGreaterThan(lossOf(tank) * 1.2);
    expect(lossOf({ ...tank, walls: 'acrylic' })).toBeLessThan(lossOf(tank));
    expect(lossOf({ ...tank, walls: 'insulated' })).toBeLessThan(lossOf(tank) / 2);
  });

  it('says that it is reckoned, and nothing at all where no size is told', () => {
    expect(priorFromGeometry(tank, setting)?.known).toBe('reckoned');
    expect(
      priorFromGeometry({ ...tank, dimensions_cm: undefined, volume_l: undefined }, setting),
    ).toBeUndefined();
    // How much a terrarium stores cannot be told from its walls.
    expect(priorFromGeometry({ ...tank, housing: 'terrarium' }, setting)).toBeUndefined();
  });

  it('is finite and positive for any tank, also one as warm as its room', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.5, max: 100_000, noNaN: true }),
        fc.double({ min: 0, max: 40, noNaN: true }),
        fc.double({ min: -20, max: 45, noNaN: true }),
        fc.constantFrom('glass' as const, 'acrylic' as const, 'insulated' as const),
        fc.boolean(),
        (volume_l, tankC, roomC, walls, lid) => {
          const shape = { housing: 'pond' as const, volume_l, walls, lid };
          const prior = priorFromGeometry(shape, { tankC, roomC, humidity: 0.6 });
          expect(prior?.lossWPerK).toBeGreaterThan(0);
          expect(prior?.storeJPerK).toBeGreaterThan(0);
          expect(Number.isFinite(prior?.timeConstantH)).toBe(true);
        },
      ),
    );
  });
});
