export {
  type BalancePoint,
  type BaselineModel,
  energyOn,
  type WeatherAnswer,
  type WeatherChoice,
} from './baseline-model.ts';
export type { PeriodUse, ProofDay } from './day.ts';
export type { Doubt, Shortfall } from './doubts.ts';
export { type Denominator, type FitErrors, fitErrors } from './fit-errors.ts';
export type { Estimate } from './least-squares.ts';
export { type NotYet, type Proof, type Proven, prove, type Uncertain } from './proof.ts';
export type { ProofOptions } from './proof-options.ts';
export type { Bands } from './uncertainty.ts';
