import type { UsedDay } from './day.ts';
import { type Estimate, type LeastSquares, leastSquares } from './least-squares.ts';

/** Where heating (below it) or cooling (above it) begins, °C; or let the baseline tell. */
export type BalancePoint = number | 'searched';

/** What of the weather explains the energy; neither: nothing does, and the mean is the model. */
export interface WeatherChoice {
  readonly heating?: BalancePoint | undefined;
  readonly cooling?: BalancePoint | undefined;
}

export interface WeatherAnswer {
  readonly balanceC: number;
  readonly searched: boolean;
  /** mWh for each degree-day, K·d. */
  readonly perDegreeDay: Estimate;
}

/** Energy of a day = base load + heating × heating degrees + cooling × cooling degrees. */
export interface BaselineModel {
  /** mWh a day that come whatever the weather. */
  readonly baseLoad: Estimate;
  readonly heating: WeatherAnswer | undefined;
  readonly cooling: WeatherAnswer | undefined;
  readonly days: number;
  /**
   * `variables`: heating and cooling degrees. `all`: those, the base load, and every balance point
   * that was searched, since it was fitted, too.
   */
  readonly parameters: { readonly variables: number; readonly all: number };
  /** Part of the variance that the model explains, 0–1. */
  readonly r2: number;
}

export interface FittedBaseline {
  readonly model: BaselineModel;
  /** Measured less modeled, mWh, in the order of the days. */
  readonly residuals: Float64Array;
  /** Of the sum of what the model makes of these days; see `LeastSquares`. */
  readonly leverage: (days: readonly UsedDay[]) => number;
}

/** Between balance points tried, K. CalTRACK 2.0, 3.2.3, allows 3 °F. */
const STEP = 0.5;
/** Points that fit equally well must not change places by rounding: the lowest is taken. */
const BETTER = 1 - 1e-9;
/** Days that must have degrees, lest a few odd days decide. CalTRACK 2.0, 3.2.2.2.1. */
export const MIN_DEGREE_DAYS = 10;

export const heatingDegrees = (balanceC: number, meanC: number): number =>
  Math.max(balanceC - meanC, 0);
export const coolingDegrees = (balanceC: number, meanC: number): number =>
  Math.max(meanC - balanceC, 0);

/**
 * Ordinary least squares of daily energy on degrees, at the balance points given or at those of a
 * grid that leave the smallest squares.
 * @returns undefined where no candidate has enough days with degrees and energy that rises with them
 */
export function fitBaseline(
  days: readonly UsedDay[],
  { heating, cooling }: WeatherChoice,
): FittedBaseline | undefined {
  const energy = Float64Array.from(days, (day) => day.energy);
  const ones = new Float64Array(days.length).fill(1);
  let best: (Candidate & { fit: LeastSquares }) | undefined;
  for (const warm of candidates(days, cooling, coolingDegrees)) {
    for (const cold of candidates(days, heating, heatingDegrees)) {
      if (cold.balanceC !== undefined && warm.balanceC !== undefined) {
        if (cold.balanceC > warm.balanceC) continue;
      }
      const columns = [cold.degrees, warm.degrees].filter((column) => column !== undefined);
      const fit = leastSquares([ones, ...columns], energy);
      if (fit === undefined || !rises(fit)) continue;
      if (best === undefined || fit.rss < best.fit.rss * BETTER) {
        best = { fit, heatingC: cold.balanceC, coolingC: warm.balanceC };
      }
    }
  }
  if (best === undefined) return undefined;
  const { fit } = best;
  const model = modelOf(days, { heating, cooling }, best);
  const leverage = (of: readonly UsedDay[]) => fit.leverage(summedRow(model, of));
  return { model, residuals: fit.residuals, leverage };
}

/** What the baseline would have drawn on a day of this mean temperature, mWh. */
export function energyOn({ baseLoad, heating, cooling }: BaselineModel, meanC: number): number {
  let energy = baseLoad.value;
  if (heating) energy += heating.perDegreeDay.value * heatingDegrees(heating.balanceC, meanC);
  if (cooling) energy += cooling.perDegreeDay.value * coolingDegrees(cooling.balanceC, meanC);
  return energy;
}

function summedRow({ heating, cooling }: BaselineModel, days: readonly UsedDay[]): number[] {
  const sum = (degreesAt: (balanceC: number, meanC: number) => number, balanceC: number) =>
    days.reduce((degrees, { meanC }) => degrees + degreesAt(balanceC, meanC), 0);
  return [
    days.length,
    ...(heating ? [sum(heatingDegrees, heating.balanceC)] : []),
    ...(cooling ? [sum(coolingDegrees, cooling.balanceC)] : []),
  ];
}

interface Candidate {
  readonly heatingC: number | undefined;
  readonly coolingC: number | undefined;
}

interface Degrees {
  readonly balanceC: number | undefined;
  readonly degrees: Float64Array | undefined;
}

function candidates(
  days: readonly UsedDay[],
  point: BalancePoint | undefined,
  degreesAt: (balanceC: number, meanC: number) => number,
): Degrees[] {
  if (point === undefined) return [{ balanceC: undefined, degrees: undefined }];
  return (point === 'searched' ? grid(days) : [point])
    .map((balanceC) => ({
      balanceC,
      degrees: Float64Array.from(days, ({ meanC }) => degreesAt(balanceC, meanC)),
    }))
    .filter(({ degrees }) => degrees.filter((one) => one > 0).length >= MIN_DEGREE_DAYS);
}

function grid(days: readonly UsedDay[]): number[] {
  const means = days.map(({ meanC }) => meanC);
  const from = Math.floor(Math.min(...means) / STEP);
  const to = Math.ceil(Math.max(...means) / STEP);
  return Array.from({ length: to - from + 1 }, (_, at) => (from + at) * STEP);
}

/** CalTRACK 2.0, 3.4.3.2: heating that falls in the cold is no heating. */
const rises = ({ coefficients }: LeastSquares): boolean =>
  coefficients.slice(1).every(({ value }) => value > 0);

function modelOf(
  days: readonly UsedDay[],
  weather: WeatherChoice,
  { fit, heatingC, coolingC }: Candidate & { fit: LeastSquares },
): BaselineModel {
  const estimates = [...fit.coefficients];
  const take = (): Estimate => estimates.shift() ?? { value: 0, standardError: 0 };
  const answer = (point: BalancePoint | undefined, balanceC: number | undefined) =>
    balanceC === undefined
      ? undefined
      : { balanceC, searched: point === 'searched', perDegreeDay: take() };
  const baseLoad = take();
  const heating = answer(weather.heating, heatingC);
  const cooling = answer(weather.cooling, coolingC);
  const answers = [heating, cooling].filter((one) => one !== undefined);
  const searched = answers.filter((one) => one.searched).length;

  const mean = days.reduce((sum, { energy }) => sum + energy, 0) / days.length;
  const tss = days.reduce((sum, { energy }) => sum + (energy - mean) ** 2, 0);
  return {
    baseLoad,
    heating,
    cooling,
    days: days.length,
    parameters: { variables: answers.length, all: 1 + answers.length + searched },
    r2: tss > 0 ? 1 - fit.rss / tss : 0,
  };
}
