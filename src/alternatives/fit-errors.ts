/**
 * What a sum of errors is divided by. The authorities differ, so that a figure without its
 * denominator cannot be compared with anything:
 * - `n-p`, ASHRAE Guideline 14: rows less all parameters of the model, the intercept included;
 * - `P-c`, CalTRACK 2.0, 4.3.2.2: periods less the explanatory variables, the intercept not counted.
 */
export type Denominator = 'n-p' | 'P-c';

/** How far a model is from what was measured. */
export interface FitErrors {
  readonly denominator: Denominator;
  /** What was divided by: rows less parameters, or less variables. */
  readonly divisor: number;
  /** Root of the mean squared error over the mean, as a part: 0.2 is 20 %. */
  readonly cvRmse: number;
  /**
   * Mean error, measured less modeled, over the mean; above 0 where the model is too low. Least
   * squares with an intercept makes it 0 over the rows that it was fitted to, so that it tells
   * something only of other rows, or of some of them.
   */
  readonly nmbe: number;
}

/**
 * CV(RMSE) and NMBE of modeled against measured values, row by row.
 * Sources: CalTRACK 2.0, 4.3.2.2; ASHRAE Guideline 14 (its form from memory).
 * @param parameters of the model: `variables` without the intercept, `all` with it
 * @returns undefined where there are no more rows than parameters, or where the mean is zero
 */
export function fitErrors(
  measured: readonly number[],
  modeled: readonly number[],
  parameters: { readonly variables: number; readonly all: number },
  denominator: Denominator,
): FitErrors | undefined {
  const rows = measured.length;
  const divisor = rows - (denominator === 'n-p' ? parameters.all : parameters.variables);
  const mean = measured.reduce((sum, value) => sum + value, 0) / rows;
  if (!(divisor > 0 && mean !== 0)) return undefined;

  let errors = 0;
  let squares = 0;
  for (const [at, value] of measured.entries()) {
    const error = value - (modeled[at] ?? Number.NaN);
    errors += error;
    squares += error * error;
  }
  return {
    denominator,
    divisor,
    cvRmse: Math.sqrt(squares / divisor) / mean,
    nmbe: errors / divisor / mean,
  };
}
