import { describe, expect, it } from 'vitest';
import type { UsedDay } from '../../src/alternatives/day.ts';
import { fitErrors } from '../../src/alternatives/index.ts';
import { studentT } from '../../src/alternatives/student.ts';
import { autocorrelation, bandsOf, independentDays } from '../../src/alternatives/uncertainty.ts';

describe('Student’s t', () => {
  // Any printed table of the distribution, to its three decimals.
  it.each([
    [0.9, 1, 6.314],
    [0.9, 2, 2.92],
    [0.9, 3, 2.353],
    [0.9, 10, 1.812],
    [0.9, 30, 1.697],
    [0.9, 120, 1.658],
    [0.95, 1, 12.706],
    [0.95, 4, 2.776],
    [0.95, 5, 2.571],
    [0.95, 29, 2.045],
    [0.99, 7, 3.499],
    [0.99, 60, 2.66],
  ])('of %d at %d degrees of freedom is %d', (probability, freedom, t) => {
    expect(studentT(probability, freedom)).toBeCloseTo(t, 3);
  });

  it('has closed forms at one and two degrees of freedom', () => {
    for (const probability of [0.5, 0.68, 0.9, 0.99]) {
      expect(studentT(probability, 1)).toBeCloseTo(Math.tan((probability * Math.PI) / 2), 9);
      const two = probability * Math.sqrt(2 / (1 - probability ** 2));
      expect(studentT(probability, 2)).toBeCloseTo(two, 9);
    }
  });

  it('comes to the normal distribution with many days', () => {
    expect(studentT(0.9, 100_000)).toBeCloseTo(1.64485, 4);
  });
});

describe('CV(RMSE) and NMBE', () => {
  // By hand: mean 10, errors 1, −2, 0, 2, 1: sum 2, squares 10.
  const measured = [11, 8, 10, 12, 9];
  const modeled = [10, 10, 10, 10, 8];
  const parameters = { variables: 1, all: 2 };

  it('divide by rows less all parameters where n − p is asked for', () => {
    expect(fitErrors(measured, modeled, parameters, 'n-p')).toEqual({
      denominator: 'n-p',
      divisor: 3,
      cvRmse: Math.sqrt(10 / 3) / 10,
      nmbe: 2 / 3 / 10,
    });
  });

  it('divide by periods less explanatory variables where P − c is asked for', () => {
    expect(fitErrors(measured, modeled, parameters, 'P-c')).toEqual({
      denominator: 'P-c',
      divisor: 4,
      cvRmse: Math.sqrt(10 / 4) / 10,
      nmbe: 2 / 4 / 10,
    });
  });

  it('are not there without rows to spare or with a mean of nothing', () => {
    expect(fitErrors([1, 2], [1, 2], parameters, 'n-p')).toBeUndefined();
    expect(fitErrors([0, 0, 0], [0, 0, 0], parameters, 'n-p')).toBeUndefined();
  });
});

describe('the uncertainty', () => {
  const days = (numbers: number[]): UsedDay[] =>
    numbers.map((number) => ({ number, energy: 0, meanC: 0 }));

  it('takes neighbors for neighbors only where no day is missing between them', () => {
    const errors = Float64Array.of(1, 1, -1, -1);
    // By hand: products 1, −1, 1 of three pairs, mean square 1.
    expect(autocorrelation(days([1, 2, 3, 4]), errors)).toBeCloseTo(1 / 3, 12);
    // The pair in the middle is none: 1 and 1 of two pairs.
    expect(autocorrelation(days([1, 2, 9, 10]), errors)).toBeCloseTo(1, 12);
    expect(autocorrelation(days([1, 3, 5, 7]), errors)).toBe(0);
    // One pair, of the two largest errors: 9 over a mean square of 5 is no correlation.
    expect(autocorrelation(days([1, 2, 9, 20]), Float64Array.of(3, 3, 1, 1))).toBe(1);
    expect(autocorrelation(days([1, 2, 3, 4]), new Float64Array(4))).toBe(0);
  });

  it('counts fewer independent days the more alike neighbors err, and never more than there are', () => {
    expect(independentDays(90, 0.5)).toBeCloseTo(30, 12);
    expect(independentDays(90, 0)).toBe(90);
    expect(independentDays(90, -0.5)).toBe(90);
    expect(independentDays(90, 1)).toBe(1);
  });

  const input = {
    t: { published: 1.7, independent: 1.8 },
    cvRmse: 0.25,
    meanEnergy: 4_000_000,
    baselineDays: 100,
    independent: 25,
    reportingDays: 300,
    months: 10,
    predicted: 900_000_000,
    leverage: 600,
  };

  it('is what CalTRACK 2.0, 4.3.2.4, makes of a round case', () => {
    // By hand: M = 10: −0.024 + 0.3535 + 1.00286 = 1.33236; √(100/25 × 27/25 × 1/300) = 0.12.
    const { sunBaltazar } = bandsOf(input);
    expect(sunBaltazar / 900_000_000).toBeCloseTo(1.7 * 1.33236 * 0.25 * 0.12, 12);
    expect(bandsOf({ ...input, predicted: -900_000_000 }).sunBaltazar).toBe(sunBaltazar);
  });

  it('is what the regression makes of the same case', () => {
    // By hand: an error of 1 kWh a day; √(100/25 × (300 + 600)) = 60 days of it.
    expect(bandsOf(input).regression).toBeCloseTo(1.8 * 60 * 1_000_000, 3);
  });
});
