/** Names in the config are at most this long; whatever else hands one in is cut here. */
const LONGEST = 200;

/**
 * Control characters, line and paragraph separators, invisible fillers, bidirectional marks,
 * overrides and isolates, tag characters and lone surrogates: what could break a line, hide text
 * or turn its order around. The joiners U+200C and U+200D stay: scripts and emoji need them.
 */
const UNSAFE =
  /[\p{Cc}\p{Zl}\p{Zp}\p{Cs}\u00AD\u061C\u115F\u1160\u180E\u200B\u200E\u200F\u202A-\u202E\u2060-\u206F\u3164\uFEFF\uFFA0\uFFF9-\uFFFB\u{E0000}-\u{E007F}]+/gu;

/** A display name as one safe line of plain text. Not escaped for HTML: pages do that. */
export function safeName(name: string): string {
  const line = name.replace(UNSAFE, ' ').replace(/\s+/gu, ' ').trim();
  return [...line].slice(0, LONGEST).join('');
}
