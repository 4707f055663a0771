import { emptyHeatMemory, fitOf, type HeatFit, type HeatModel } from '../../src/heat/index.ts';

/** A tank that loses 8 W a kelvin and 16 W more, in 20 hours to 1/e: in figures fit for paper. */
export const MODEL: HeatModel = { lossWPerK: 8, offsetW: 16, storeJPerK: 8 * 3600 * 20 };

/** What twelve days of books would have taught of it: UA ±5 %, the offset ±1 W as standard error. */
export function fitted(model: HeatModel = MODEL, changes: Partial<HeatFit> = {}): HeatFit {
  const { lossWPerK } = model;
  const standardError = lossWPerK / 40;
  return {
    ...fitOf(emptyHeatMemory, model),
    status: 'fitted',
    known: 'fitted',
    standardError,
    ci95: [0.95 * lossWPerK, 1.05 * lossWPerK],
    days: 12,
    windows: 60,
    meanK: 5,
    covariance: [
      [standardError ** 2, 0, 0],
      [0, 1, 0],
      [0, 0, 0],
    ],
    hourlyNoiseW: 0,
    freedom: 1e9,
    ...changes,
  };
}
