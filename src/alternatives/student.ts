/**
 * The t within which Student's distribution lies with the given probability, both sides counted.
 * Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4.
 * @param probability above 0 and below 1
 * @param freedom degrees of freedom, a whole number of at least 1
 */
export function studentT(probability: number, freedom: number): number {
  let low = 0;
  let high = Math.PI / 2;
  // Halving the angle instead of t needs no bound for t. Sixty halvings exhaust a double.
  for (let step = 0; step < 60; step++) {
    const angle = (low + high) / 2;
    if (within(angle, freedom) < probability) low = angle;
    else high = angle;
  }
  return Math.sqrt(freedom) * Math.tan(low);
}

/** P(|t| ≤ √freedom × tan angle): a series that ends. */
function within(angle: number, freedom: number): number {
  const odd = freedom % 2;
  const cos = Math.cos(angle);
  let term = odd === 1 ? cos : 1;
  let sum = freedom === 1 ? 0 : term;
  for (let power = 2 + odd; power <= freedom - 2; power += 2) {
    term *= (cos * cos * (power - 1)) / power;
    sum += term;
  }
  const part = Math.sin(angle) * sum;
  return odd === 1 ? (2 / Math.PI) * (angle + part) : part;
}
