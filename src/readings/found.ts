import { printable as printableWhole } from '../units/index.ts';

const LONGEST_FOUND = 120;

/** Text from outside, made fit for a log line or a page: at most 120 characters, all printable. */
export const printable = (text: string): string => printableWhole(text.slice(0, LONGEST_FOUND));

/** A JSON value in a few words; containers by their outside, as they may be deep and large. */
export function describeFound(raw: unknown): string {
  if (typeof raw === 'string') return printable(raw);
  if (Array.isArray(raw)) return `a list of ${raw.length}`;
  if (typeof raw === 'object' && raw !== null) {
    const keys = Object.keys(raw);
    return printable(`an object with ${keys.slice(0, 6).join(', ') || 'nothing in it'}`);
  }
  return String(raw);
}
