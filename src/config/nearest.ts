/**
 * The one of `words` that `word` was most likely meant to be, or undefined when none is near:
 * at most two slips of the pen, and at most a third of its letters; or a unit left out at its end.
 */
export function nearest(word: string, words: Iterable<string>): string | undefined {
  const limit = Math.min(2, Math.floor(word.length / 3));
  let best: string | undefined;
  let least = limit + 1;
  for (const candidate of words) {
    if (candidate === word) continue;
    if (isWithUnit(word, candidate)) return candidate;
    if (Math.abs(candidate.length - word.length) >= least) continue;
    const slips = distance(plain(word), plain(candidate));
    if (slips < least) {
      best = candidate;
      least = slips;
    }
  }
  return best;
}

/** Letter case, hyphens and underscores are the slips made most: they count as none. */
const plain = (word: string): string =>
  word.toLowerCase().replaceAll('_', '-').replaceAll(' ', '-');

/** `limit` for `limit_w`, `group_time` for `group_time_s`. */
const isWithUnit = (word: string, candidate: string): boolean =>
  candidate.startsWith(`${word}_`) && candidate.length <= word.length + 4;

/** Inserted, lost, changed and swapped letters (optimal string alignment). */
function distance(a: string, b: string): number {
  let beforeLast: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, column) => column);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const changed = a[i - 1] === b[j - 1] ? 0 : 1;
      let slips = Math.min((last[j] ?? 0) + 1, (row[j - 1] ?? 0) + 1, (last[j - 1] ?? 0) + changed);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) {
        slips = Math.min(slips, (beforeLast[j - 2] ?? 0) + 1);
      }
      row.push(slips);
    }
    beforeLast = last;
    last = row;
  }
  return last[b.length] ?? 0;
}
