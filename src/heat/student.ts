const NORMAL = 1.959964;
const NORMAL_99 = 2.575829;

/**
 * Student's t for a two-sided interval: how many standard errors it reaches when the error itself
 * was found from so little. Hill's expansion to second order (Abramowitz and Stegun 26.7.5, from
 * memory): at 95 % within 4 % from three degrees of freedom up, at 99 % from five up (tested).
 */
export function studentT(freedom: number, confidence: 0.95 | 0.99 = 0.95): number {
  const z = confidence === 0.99 ? NORMAL_99 : NORMAL;
  return (
    z + (z ** 3 + z) / (4 * freedom) + (5 * z ** 5 + 16 * z ** 3 + 3 * z) / (96 * freedom * freedom)
  );
}
