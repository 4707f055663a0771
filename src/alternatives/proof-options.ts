import { CodedError } from '../units/index.ts';
import type { WeatherChoice } from './baseline-model.ts';
import type { Denominator } from './fit-errors.ts';

export interface ProofOptions {
  /** Default: heating, its balance point searched. `{}` compares means, for gear that no weather moves. */
  readonly weather?: WeatherChoice;
  /** Of the band around every figure. Default 0.9, the usual one in CalTRACK 2.0, 4.3.2.4.2. */
  readonly confidence?: number;
  /** Of CV(RMSE) and NMBE, and so of the band. Default `n-p`, the more cautious. */
  readonly denominator?: Denominator;
  /**
   * A day counts when this part of it was measured, 0–1. Default 0.9: what is missing stands in the
   * books as nothing, so that a day half known would look half as hungry.
   */
  readonly minKnown?: number;
  /** Default 28; our choice, no source. CalTRACK wants a year; see the doubts for what less leaves open. */
  readonly minBaselineDays?: number;
  /** Default 14; our choice, no source. */
  readonly minReportingDays?: number;
  /** Standard deviation that the baseline's temperatures must have, K. Default 1; our choice, no source. */
  readonly minSpreadK?: number;
  /**
   * A CV(RMSE) above it makes the fit doubtful. Default 0.5; our choice between 30 % by the hour
   * (ASHRAE Guideline 14) and 100 % for a site among many (CalTRACK 2.0, 4.3.2.1).
   */
  readonly maxCvRmse?: number;
}

const LIMITS: Record<keyof Omit<ProofOptions, 'weather' | 'denominator'>, [number, number]> = {
  confidence: [0.5, 0.999],
  minKnown: [0, 1],
  minBaselineDays: [10, 3660],
  minReportingDays: [1, 3660],
  minSpreadK: [0, 100],
  maxCvRmse: [0, 100],
};

const DEFAULTS: Required<ProofOptions> = {
  weather: { heating: 'searched' },
  confidence: 0.9,
  denominator: 'n-p',
  minKnown: 0.9,
  minBaselineDays: 28,
  minReportingDays: 14,
  minSpreadK: 1,
  maxCvRmse: 0.5,
};

/** @throws CodedError AMP_ALTERNATIVES_OPTION */
export function proofOptions(given: ProofOptions): Required<ProofOptions> {
  const options = { ...DEFAULTS, ...given };
  for (const [name, [low, high]] of Object.entries(LIMITS)) {
    const value = options[name as keyof typeof LIMITS];
    if (!(value >= low && value <= high)) {
      throw new CodedError(
        'AMP_ALTERNATIVES_OPTION',
        `${name} must lie in ${low}–${high}, got ${value}`,
        { remedy: 'Stay within the limits, or leave it out.' },
      );
    }
  }
  for (const [name, point] of Object.entries(options.weather)) {
    if (point === undefined || point === 'searched' || Number.isFinite(point)) continue;
    throw new CodedError(
      'AMP_ALTERNATIVES_OPTION',
      `the balance point of ${name} must be °C or 'searched', got ${point}`,
      { remedy: 'Give a temperature, or let the baseline tell.' },
    );
  }
  const { heating, cooling } = options.weather;
  if (typeof heating === 'number' && typeof cooling === 'number' && heating > cooling) {
    throw new CodedError(
      'AMP_ALTERNATIVES_OPTION',
      `heating begins below ${heating} °C and cooling above ${cooling} °C: both between them`,
      { remedy: 'Give cooling the higher balance point.' },
    );
  }
  return options;
}
