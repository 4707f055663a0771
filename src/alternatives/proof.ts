import { type MilliwattHours, milliwattHours } from '../units/index.ts';
import {
  type BaselineModel,
  energyOn,
  type FittedBaseline,
  fitBaseline,
} from './baseline-model.ts';
import { checkOrder, type Period, type PeriodUse, type ProofDay, periodOf } from './day.ts';
import { type Doubt, doubtsOf, type Shortfall, spreadOf } from './doubts.ts';
import { type FitErrors, fitErrors } from './fit-errors.ts';
import { type ProofOptions, proofOptions } from './proof-options.ts';
import { studentT } from './student.ts';
import { autocorrelation, type Bands, bandsOf, independentDays } from './uncertainty.ts';

interface Periods {
  readonly baseline: PeriodUse;
  readonly reporting: PeriodUse;
}

/** What is missing before anything can be said. */
export interface NotYet extends Periods {
  readonly verdict: 'not-yet';
  readonly shortfalls: readonly Shortfall[];
}

/** A figure that lies within value ± uncertainty, at the confidence that stands beside it. */
export interface Uncertain<T extends number = number> {
  readonly value: T;
  readonly uncertainty: T;
}

/** What the change did in the reporting days that count; energies in mWh. */
export interface Proven extends Periods {
  /** `no-difference-seen` where the band around the savings holds zero. */
  readonly verdict: 'saved' | 'draws-more' | 'no-difference-seen';
  readonly confidence: number;
  readonly actual: MilliwattHours;
  /** What the baseline would have drawn in the same weather. */
  readonly predicted: Uncertain<MilliwattHours>;
  /** Exactly predicted − actual; below zero where more is drawn than before. */
  readonly savings: Uncertain<MilliwattHours>;
  /** Savings over predicted, 0.1 for 10 %; undefined where nothing was predicted to be drawn. */
  readonly part: Uncertain | undefined;
  /** Either half-width; the wider of the two is the uncertainty of the figures above, mWh. */
  readonly bands: Bands;
  /**
   * FSU by CalTRACK 2.0, 4.3.2.4, from `bands.sunBaltazar`: 0.5 is savings known to half; undefined
   * where they are zero.
   */
  readonly fractionalUncertainty: number | undefined;
  readonly model: BaselineModel;
  readonly errors: FitErrors;
  /** Of the baseline's errors from one day to the next, −1 to 1. */
  readonly autocorrelation: number;
  /** The days that the baseline is worth, since neighboring days err alike. */
  readonly independentDays: number;
  readonly doubts: readonly Doubt[];
}

export type Proof = NotYet | Proven;

/** A month of the calendar on the average, days. */
const MONTH = 365.25 / 12;

/**
 * Whether a change has paid, corrected for weather: the baseline's energy is explained by its
 * degree-days; what it would have drawn in the reporting period, less what was drawn, is saved.
 * The order of the days does not matter.
 * Sources: CalTRACK 2.0, sections 3 and 4.3; ASHRAE Guideline 14.
 * @throws CodedError AMP_ALTERNATIVES_DAY, AMP_ALTERNATIVES_PERIODS, AMP_ALTERNATIVES_OPTION
 */
export function prove(given: {
  readonly baseline: readonly ProofDay[];
  readonly reporting: readonly ProofDay[];
  readonly options?: ProofOptions;
}): Proof {
  const options = proofOptions(given.options ?? {});
  const { weather, minKnown, confidence, denominator } = options;
  const sieve = {
    minKnown,
    needsWeather: weather.heating !== undefined || weather.cooling !== undefined,
  };
  const baseline = periodOf('baseline', given.baseline, sieve);
  const reporting = periodOf('reporting', given.reporting, sieve);
  checkOrder(baseline.use, reporting.use);

  const periods = { baseline: baseline.use, reporting: reporting.use };
  const notYet = (...shortfalls: Shortfall[]): NotYet => ({
    verdict: 'not-yet',
    shortfalls,
    ...periods,
  });
  const shortfalls = missing(baseline, reporting, options, sieve.needsWeather);
  if (shortfalls.length > 0) return notYet(...shortfalls);

  const fitted = fitBaseline(baseline.days, weather);
  if (fitted === undefined) return notYet({ kind: 'no-answer-to-weather' });
  const { model, residuals } = fitted;
  const measured = baseline.days.map(({ energy }) => energy);
  const modeled = measured.map((energy, at) => energy - (residuals[at] ?? 0));
  const errors = fitErrors(measured, modeled, model.parameters, denominator);
  if (errors === undefined) return notYet({ kind: 'nothing-drawn' });
  const t = studentT(confidence, errors.divisor);
  if (!answers(model, t)) return notYet({ kind: 'no-answer-to-weather' });

  return {
    ...periods,
    confidence,
    ...compare(fitted, errors, t, { baseline, reporting, confidence }),
    model,
    errors,
    doubts: doubtsOf(baseline, reporting, model, errors, options.maxCvRmse),
  };
}

/** The baseline's model in the weather of the reporting period, against what was drawn. */
function compare(
  { model, residuals, leverage }: FittedBaseline,
  { cvRmse }: FitErrors,
  t: number,
  given: { baseline: Period; reporting: Period; confidence: number },
) {
  const baseline = given.baseline.days;
  const reporting = given.reporting.days;
  const predicted = milliwattHours(sum(reporting.map(({ meanC }) => energyOn(model, meanC))));
  const actual = milliwattHours(sum(reporting.map(({ energy }) => energy)));
  const savings = milliwattHours(predicted - actual);

  const correlation = autocorrelation(baseline, residuals);
  const independent = independentDays(baseline.length, correlation);
  const freedom = Math.max(Math.floor(independent) - model.parameters.all, 1);
  const bands = bandsOf({
    t: { published: t, independent: studentT(given.confidence, freedom) },
    cvRmse,
    meanEnergy: sum(baseline.map(({ energy }) => energy)) / baseline.length,
    baselineDays: baseline.length,
    independent,
    reportingDays: reporting.length,
    months: months(given.reporting),
    predicted,
    leverage: leverage(reporting),
  });
  const uncertainty = milliwattHours(Math.max(bands.sunBaltazar, bands.regression));
  return {
    verdict: verdictOf(savings, uncertainty),
    actual,
    predicted: { value: predicted, uncertainty },
    savings: { value: savings, uncertainty },
    part:
      predicted > 0
        ? { value: savings / predicted, uncertainty: uncertainty / predicted }
        : undefined,
    bands,
    fractionalUncertainty: savings === 0 ? undefined : bands.sunBaltazar / Math.abs(savings),
    autocorrelation: correlation,
    independentDays: independent,
  };
}

function missing(
  baseline: Period,
  reporting: Period,
  options: Required<ProofOptions>,
  needsWeather: boolean,
): Shortfall[] {
  const shortfalls: Shortfall[] = [];
  const enough = (period: 'baseline' | 'reporting', have: number, need: number): void => {
    if (have < need) shortfalls.push({ kind: 'too-few-days', period, have, need });
  };
  enough('baseline', baseline.days.length, options.minBaselineDays);
  enough('reporting', reporting.days.length, options.minReportingDays);
  if (needsWeather && baseline.days.length > 0) {
    const haveK = spreadOf(baseline.days);
    const needK = options.minSpreadK;
    if (haveK < needK) shortfalls.push({ kind: 'too-little-spread', haveK, needK });
  }
  return shortfalls;
}

/** Whether what each degree-day costs is above zero beyond chance. */
const answers = ({ heating, cooling }: BaselineModel, t: number): boolean =>
  [heating, cooling].every(
    (one) => one === undefined || one.perDegreeDay.value > t * one.perDegreeDay.standardError,
  );

const sum = (energies: readonly number[]): number =>
  energies.reduce((total, one) => total + one, 0);

const months = ({ days }: Period): number =>
  ((days.at(-1)?.number ?? 0) - (days[0]?.number ?? 0) + 1) / MONTH;

function verdictOf(savings: number, uncertainty: number): Proven['verdict'] {
  if (Math.abs(savings) <= uncertainty) return 'no-difference-seen';
  return savings > 0 ? 'saved' : 'draws-more';
}
