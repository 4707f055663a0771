/** A whole number, and whether it is exact or was rounded once, halves away from zero. */
export interface Scaled {
  readonly value: number;
  readonly exact: boolean;
}

const LIMIT = BigInt(Number.MAX_SAFE_INTEGER);

/** digits × 10^power as a whole number; undefined beyond what a whole number holds exactly. */
export function scaled(digits: bigint, power: number): Scaled | undefined {
  if (digits === 0n) return { value: 0, exact: true };
  if (power > 40) return undefined;
  if (power >= 0) return within(digits * 10n ** BigInt(power), true);
  // No digits that are kept can reach beyond the point from there.
  if (power < -80) return { value: 0, exact: false };
  const unit = 10n ** BigInt(-power);
  const magnitude = digits < 0n ? -digits : digits;
  const rounded = (magnitude + unit / 2n) / unit;
  return within(digits < 0n ? -rounded : rounded, magnitude % unit === 0n);
}

const within = (value: bigint, exact: boolean): Scaled | undefined =>
  value > LIMIT || value < -LIMIT ? undefined : { value: Number(value), exact };

const DECIMAL = /^([+-]?)(\d*)(?:\.(\d*))?(?:[eE]([+-]?\d{1,3}))?$/;
const LONGEST = 40;

/** A decimal text × 10^power; undefined when it is no number or too large. */
export function scaledDecimal(text: string, power: number): Scaled | undefined {
  const found = text.length > LONGEST ? null : DECIMAL.exec(text);
  if (found === null) return undefined;
  const [, sign, whole = '', fraction = '', exponent = '0'] = found;
  if (whole === '' && fraction === '') return undefined;
  const digits = BigInt(whole + fraction);
  return scaled(sign === '-' ? -digits : digits, power - fraction.length + Number(exponent));
}
