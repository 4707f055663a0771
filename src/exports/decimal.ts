/**
 * A whole number of 10^-decimals as exact decimal digits: (12345, 3) is '12.345'. Floating point
 * would write some of them otherwise.
 * @param whole a safe integer
 */
export function decimalText(whole: number, decimals: number): string {
  const digits = String(Math.abs(whole)).padStart(decimals + 1, '0');
  const cut = digits.length - decimals;
  const sign = whole < 0 ? '-' : '';
  return decimals === 0
    ? `${sign}${digits}`
    : `${sign}${digits.slice(0, cut)}.${digits.slice(cut)}`;
}
