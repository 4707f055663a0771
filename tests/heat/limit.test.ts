import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { hoursToLimit, restingTemperature, temperatureAfter } from '../../src/heat/index.ts';

const loss = { lossWPerK: 8, timeConstantH: 15 };

describe('hours to a limit', () => {
  it('follow the closed form while the heater is off', () => {
    const cooling = { tankC: 25, roomC: 15, heatingW: 0 };
    // From 10 K above the room to 10/e K above it takes one time constant.
    expect(hoursToLimit(loss, cooling, 15 + 10 / Math.E, 'below')).toBeCloseTo(15, 9);
    expect(temperatureAfter(loss, cooling, 15)).toBeCloseTo(15 + 10 / Math.E, 9);
  });

  it('follow it towards T_room + P/UA while the heater is stuck on', () => {
    const heating = { tankC: 25, roomC: 20, heatingW: 160 };
    expect(restingTemperature(loss, heating)).toBe(40);
    expect(hoursToLimit(loss, heating, 28, 'above')).toBeCloseTo(15 * Math.log(15 / 12), 9);
  });

  it('are undefined when it never gets there', () => {
    expect(hoursToLimit(loss, { tankC: 25, roomC: 20, heatingW: 0 }, 20, 'below')).toBeUndefined();
    expect(hoursToLimit(loss, { tankC: 25, roomC: 20, heatingW: 0 }, 28, 'above')).toBeUndefined();
    expect(hoursToLimit(loss, { tankC: 25, roomC: 20, heatingW: 60 }, 28, 'above')).toBeUndefined();
  });

  it('are none when it is there already', () => {
    expect(hoursToLimit(loss, { tankC: 28.1, roomC: 20, heatingW: 0 }, 28, 'above')).toBe(0);
    expect(hoursToLimit(loss, { tankC: 22, roomC: 20, heatingW: 0 }, 22, 'below')).toBe(0);
  });

  it('lead, when waited for, to the limit itself', () => {
    const c = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    fc.assert(
      fc.property(c(10, 35), c(-10, 40), c(0, 2000), c(5, 45), (tankC, roomC, heatingW, limit) => {
        const course = { tankC, roomC, heatingW };
        for (const side of ['above', 'below'] as const) {
          const hours = hoursToLimit(loss, course, limit, side);
          if (hours === undefined || hours === 0 || hours > 300) continue;
          expect(temperatureAfter(loss, course, hours)).toBeCloseTo(limit, 6);
        }
      }),
    );
  });

  it('agree with small steps of the balance C dT/dt = P − UA (T − T_room)', () => {
    const course = { tankC: 25, roomC: 18, heatingW: 200 };
    const storeJPerK = loss.lossWPerK * loss.timeConstantH * 3600;
    let celsius = course.tankC;
    for (let s = 0; s < 5 * 3600; s += 1) {
      celsius += (course.heatingW - loss.lossWPerK * (celsius - course.roomC)) / storeJPerK;
    }
    expect(temperatureAfter(loss, course, 5)).toBeCloseTo(celsius, 3);
  });
});
