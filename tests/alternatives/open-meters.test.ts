import { describe, expect, it } from 'vitest';
import { type ProofOptions, type Proven, prove } from '../../src/alternatives/index.ts';
import { expectedOf, fromFahrenheit, openMeter, trueSavings } from './open-meters.ts';

const F_PER_K = 1.8;
const GAS = 'il-gas-hdd-only-daily';
const ELECTRICITY = 'il-electricity-cdd-hdd-daily';
const heating = fromFahrenheit(60);
const cooling = fromFahrenheit(65);

function proven(id: string, options: ProofOptions): Proven {
  const proof = prove({ ...openMeter(id), options });
  if (proof.verdict === 'not-yet') throw new Error(JSON.stringify(proof.shortfalls));
  return proof;
}

/** Sums have four decimals in the reference, all else six. */
const close = (value: number, expected: number): void =>
  expect(Math.abs(value - expected)).toBeLessThanOrEqual(1e-4);

describe.each([
  { id: GAS, weather: { heating } },
  { id: ELECTRICITY, weather: { heating, cooling } },
])('the open meter $id at its known balance points', ({ id, weather }) => {
  const expected = expectedOf(id);
  const proof = proven(id, { weather });
  const { model, errors } = proof;
  const answers = [model.heating, model.cooling].filter((one) => one !== undefined);

  it('has the days that the reference has', () => {
    expect(proof.baseline.used).toBe(expected.baseline_n);
    expect(proof.reporting.used).toBe(expected.reporting_n);
  });

  it('gets the coefficients and standard errors of another library', () => {
    const scaled = [
      { ...model.baseLoad, per: 1 },
      ...answers.map(({ perDegreeDay }) => ({ ...perDegreeDay, per: F_PER_K })),
    ];
    expect(scaled).toHaveLength(expected.baseline_coef.length);
    for (const [at, { value, standardError, per }] of scaled.entries()) {
      close(value / per / 1e6, expected.baseline_coef[at]);
      close(standardError / per / 1e6, expected.baseline_se[at]);
    }
  });

  it('gets its goodness of fit, the denominator being n − p', () => {
    close(model.r2, expected.baseline_r2);
    expect(errors.denominator).toBe('n-p');
    expect(errors.divisor).toBe(365 - expected.baseline_coef.length);
    close(errors.cvRmse, expected.cvrmse_n_minus_p);
    expect(Math.abs(errors.nmbe)).toBeLessThan(1e-9);
  });

  it('gets its savings', () => {
    close(proof.predicted.value / 1e6, expected.counterfactual_sum);
    close(proof.actual / 1e6, expected.observed_sum);
    close(proof.savings.value / 1e6, expected.avoided);
    close((proof.part?.value ?? 0) * 100, expected.avoided_percent_of_counterfactual);
  });
});

describe('the open meters against their truth', () => {
  it.each([
    { id: GAS, weather: { heating } },
    { id: GAS, weather: { heating: 'searched' } },
    { id: ELECTRICITY, weather: { heating, cooling } },
    { id: ELECTRICITY, weather: { heating: 'searched', cooling: 'searched' } },
    { id: 'il-gas-intercept-only-daily', weather: {} },
  ] as const)('finds the true tenth of $id within three points, with $weather', (one) => {
    const proof = proven(one.id, { weather: one.weather });
    const part = proof.part ?? { value: Number.NaN, uncertainty: Number.NaN };
    expect(trueSavings(one.id)).toBeCloseTo(0.1, 10);
    expect(Math.abs(part.value - 0.1)).toBeLessThan(0.03);
    // The band is honest here: it holds the truth.
    expect(Math.abs(part.value - 0.1)).toBeLessThan(part.uncertainty);
  });

  it('searches a balance point near the one that the gas meter was generated with', () => {
    const { model } = proven(GAS, { weather: { heating: 'searched' } });
    expect(Math.abs((model.heating?.balanceC ?? 0) - heating)).toBeLessThan(2);
  });

  it('fits no worse where it may search', () => {
    const known = proven(ELECTRICITY, { weather: { heating, cooling } });
    const searched = proven(ELECTRICITY, { weather: { heating: 'searched', cooling: 'searched' } });
    expect(searched.model.r2).toBeGreaterThan(known.model.r2 - 1e-3);
    expect(searched.model.parameters).toEqual({ variables: 2, all: 5 });
  });
});
