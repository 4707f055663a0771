/** Control, format and unassigned characters, broken surrogates, line and paragraph separators. */
const UNPRINTABLE = /[\p{C}\p{Zl}\p{Zp}]/gu;

/** Text from outside without anything that a terminal, a log or a page would obey. */
export const printable = (text: string): string => text.replace(UNPRINTABLE, '\uFFFD');
