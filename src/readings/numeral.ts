const WITH_POINT = /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?$/;
const WITH_COMMA = /^[+-]?(?:\d+(?:,\d*)?|,\d+)$/;

/** Longer text is no measurement, whatever its digits. */
const LONGEST_NUMERAL = 64;

/**
 * The number that a trimmed text spells in decimal, or undefined. Stricter than Number(): no hex,
 * no 'Infinity', nothing behind the digits. With `decimalComma` a point is refused, because
 * '1.234' would be one or a thousand.
 */
export function readNumeral(text: string, decimalComma: boolean): number | undefined {
  if (text.length > LONGEST_NUMERAL) return undefined;
  if (!decimalComma) return WITH_POINT.test(text) ? Number(text) : undefined;
  return WITH_COMMA.test(text) ? Number(text.replace(',', '.')) : undefined;
}
