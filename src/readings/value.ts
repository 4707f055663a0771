import type { FeedConfig, FeedValue } from './config.ts';
import { conversion, plausibleRange } from './conversion.ts';
import { readNumeral } from './numeral.ts';
import type { RefusalReason } from './reading.ts';

/**
 * Turns what a message holds at a value's place (a JSON value, the text of a bare payload, or
 * undefined for nothing) into W, Wh, V, °C, % or presence.
 */
export type ValueReader = (raw: unknown) => number | RefusalReason;

/** Words of a feed, ready for comparison without regard to letter case. */
export type Words = ReadonlySet<string>;

export const words = (list: readonly string[]): Words =>
  new Set(list.map((word) => word.trim().toLowerCase()));

export function compileValue(feed: FeedConfig, value: FeedValue, noValue: Words): ValueReader {
  return value.measure === 'presence'
    ? presenceReader(words(value.on), words(value.off), noValue)
    : numberReader(value, noValue, feed.decimal_comma);
}

/** A finite number as it was sent, or why there is none. */
export function readNumber(
  raw: unknown,
  noValue: Words,
  decimalComma: boolean,
): number | RefusalReason {
  let number: number;
  if (typeof raw === 'number') {
    number = raw;
  } else if (typeof raw === 'string') {
    const text = raw.trim();
    const spelled = readNumeral(text, decimalComma);
    if (spelled === undefined) return noNumber(text, noValue);
    number = spelled;
  } else {
    return absent(raw);
  }
  // JSON and text alike can spell numbers beyond what a double holds, such as 1e999.
  return Number.isFinite(number) ? number : 'not-a-number';
}

function numberReader(
  value: Exclude<FeedValue, { measure: 'presence' }>,
  noValue: Words,
  decimalComma: boolean,
): ValueReader {
  const { factor, shift } = conversion(value);
  const { min, max } = plausibleRange(value);
  const absolute = value.measure === 'power' && value.sign === 'absolute';
  const { sentinels } = value;

  return (raw) => {
    const number = readNumber(raw, noValue, decimalComma);
    if (typeof number === 'string') return number;
    if (sentinels.length > 0 && sentinels.includes(number)) return 'sentinel';
    // The last zero turns -0 into 0.
    const signed = number * factor + shift + 0;
    const converted = absolute ? Math.abs(signed) : signed;
    return converted >= min && converted <= max ? converted : 'implausible';
  };
}

function presenceReader(on: Words, off: Words, noValue: Words): ValueReader {
  return (raw) => {
    if (typeof raw !== 'string' && typeof raw !== 'boolean' && typeof raw !== 'number') {
      return absent(raw);
    }
    const word = String(raw).trim().toLowerCase();
    if (on.has(word)) return 1;
    if (off.has(word)) return 0;
    return noNumber(word, noValue);
  };
}

const noNumber = (text: string, noValue: Words): RefusalReason =>
  noValue.has(text.toLowerCase()) ? 'no-value' : 'not-a-number';

function absent(raw: unknown): RefusalReason {
  if (raw === undefined) return 'nothing-there';
  return raw === null ? 'no-value' : 'not-a-number';
}
