import { grouped } from './grouped.ts';
import type { Guess } from './guessed.ts';
import { hintsIn } from './name-hints.ts';

/** A guess that a sketch takes, with what tells its source from others in the same payload. */
export interface Placed {
  readonly guess: Guess;
  /** '' or '-2', '-air' …: follows the name of the topic's own source. */
  readonly suffix: string;
}

/**
 * Decides which of one topic's guesses are worth a value each: sockets and probes side by side are
 * sources of their own; of several counters of one socket the one that goes on is taken.
 */
export function placeSources(guesses: readonly Guess[]): { taken: Placed[]; spare: Guess[] } {
  const taken: Placed[] = [];
  const spare: Guess[] = [];
  for (const same of grouped(guesses, ({ is }) => is).values()) {
    const bySource = grouped(same, (guess) => tellingTokens(guess).join('/'));
    const kept = [...bySource.values()].map((rivals) => {
      const [best, ...rest] = rivals.toSorted((a, b) => rank(a) - rank(b));
      spare.push(...rest);
      return best as Guess;
    });
    taken.push(...withSuffixes(kept));
  }
  return { taken, spare };
}

/** Lower is better. */
const rank = ({ restarts, confidence }: Guess): number =>
  (restarts === 'never' ? 0 : 10) + ['sure', 'likely', 'maybe'].indexOf(confidence);

/** The keys above a number, then what its own key says beside the quantity. */
function tellingTokens({ is, at = '' }: Guess): string[] {
  const keys = at.split('/').slice(1);
  const leaf = keys.pop() ?? '';
  const number = /\d+/.exec(leaf)?.[0] ?? '';
  // 'total' and 'today' count the same socket; 'water_temp' and 'air_temp' are two probes.
  const words = is === 'temperature' || is === 'humidity' ? wordsBeside(leaf) : '';
  return [...keys, `${words}${words && number ? '-' : ''}${number}`];
}

const wordsBeside = (leaf: string): string =>
  leaf
    .split(/[^\p{L}]+|(?<=\p{Ll})(?=\p{Lu})/u)
    .filter((word) => word.length > 1 && hintsIn(word).every(({ weak }) => weak === true))
    .join('-');

function withSuffixes(guesses: readonly Guess[]): Placed[] {
  const tokens = guesses.map(tellingTokens);
  const longest = Math.max(...tokens.map((own) => own.length));
  const telling = Array.from({ length: longest }, (_, place) => place).filter(
    (place) => new Set(tokens.map((own) => own[place] ?? '')).size > 1,
  );
  // People count sockets from one, lists from zero.
  const fromZero = tokens.some((own) => telling.some((place) => own[place] === '0'));
  const used = new Set<string>();
  return guesses.map((guess, index) => {
    const parts = telling
      .map((place) => tokens[index]?.[place] ?? '')
      .filter((part) => part !== '');
    const counted = parts.map((part) =>
      fromZero && /^\d+$/.test(part) ? String(Number(part) + 1) : part,
    );
    const slug = slugOf(counted.join('-'));
    const suffix = unused(slug === '' ? '' : `-${slug}`, used);
    used.add(suffix);
    return { guess, suffix };
  });
}

/** Keys that differ only in what an id cannot spell are numbered. */
function unused(suffix: string, used: ReadonlySet<string>): string {
  for (let turn = 2, next = suffix; ; turn += 1) {
    if (!used.has(next)) return next;
    next = `${suffix}-${turn}`;
  }
}

/** Any text as an id: lowercase words joined by hyphens; '' where nothing is left. */
export const slugOf = (text: string): string =>
  text
    .normalize('NFD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .slice(0, 48)
    .replace(/^-+|-+$/g, '');
