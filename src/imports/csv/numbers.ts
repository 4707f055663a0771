import { type Scaled, scaledDecimal } from '../decimal.ts';
import { quoted } from '../refused.ts';
import type { Delimiter } from './table.ts';

/**
 * Reads the numbers of one table. Where cells are not divided by commas, a comma may be the decimal
 * sign; then it is so throughout, since '1.234' beside '0,5' could be one or a thousand.
 * Returns text × 10^power as a whole number, or what is wrong with it.
 */
export type NumberReader = (text: string, power: number, line: number) => Scaled | string;

export function createNumberReader(delimiter: Delimiter): NumberReader {
  let first: { readonly sign: ',' | '.'; readonly line: number } | undefined;
  return (text, power, line) => {
    const sign = text.includes(',') ? ',' : text.includes('.') ? '.' : undefined;
    if (sign === ',' && delimiter === ',') return `no number: ${quoted(text)}`;
    const read = scaledDecimal(sign === ',' ? text.replace(',', '.') : text, power);
    if (read === undefined) {
      return text === '' ? 'empty' : `no number, or too large: ${quoted(text)}`;
    }
    if (sign !== undefined) {
      first ??= { sign, line };
      if (first.sign !== sign) {
        return `${quoted(text)} has another decimal sign than line ${first.line}`;
      }
    }
    return read;
  };
}
