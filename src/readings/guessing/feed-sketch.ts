import { grouped } from './grouped.ts';
import type { Guess } from './guessed.ts';
import { hintsIn, type Unit } from './name-hints.ts';
import { type Placed, placeSources, slugOf } from './source-suffix.ts';
import { groupTopics, type TopicGroup } from './topic-groups.ts';

/** A feed as it will be written down. */
export interface FeedSketch {
  readonly name: string;
  readonly topic: string;
  /** Text of the named level → id, where they differ. */
  readonly names: ReadonlyMap<string, string>;
  readonly decimalComma: boolean;
  readonly values: readonly ValueSketch[];
}

interface ValueSketch {
  readonly measure: 'power' | 'counter' | 'voltage' | 'temperature' | 'humidity' | 'presence';
  readonly from: 'plug' | 'probe';
  /** The source as the config writes it: an id, or a pattern with the named level. */
  readonly source: string;
  readonly at: string | undefined;
  readonly unit: Unit | undefined;
  readonly sentinels: readonly number[];
  /** The guess that speaks loudest for it. */
  readonly because: Guess;
}

export interface PlugSketch {
  readonly id: string;
  readonly restarts: Guess['restarts'];
}

export interface Sketch {
  readonly feeds: readonly FeedSketch[];
  readonly plugs: readonly PlugSketch[];
  readonly probes: readonly string[];
  /** What no feed takes, and why can be read from the guess. */
  readonly spare: readonly Guess[];
}

/** Names that a sketch must not use again. */
export interface Existing {
  readonly feeds: ReadonlySet<string>;
  readonly plugs: ReadonlySet<string>;
  readonly probes: ReadonlySet<string>;
}

interface Topic {
  readonly topic: string;
  readonly signature: string;
  readonly placed: readonly Placed[];
}

/** Arranges what was guessed into feeds; topics that differ in one level share one. */
export function arrange(guesses: readonly Guess[], existing: Existing): Sketch {
  const spare: Guess[] = [];
  const topics: Topic[] = [];
  const metered = meteredTopics(guesses.filter(isUsable));
  for (const [topic, all] of grouped(guesses, (guess) => guess.topic)) {
    const usable = canBeFiltered(topic) ? all.filter(isUsable) : [];
    const { taken: placed, spare: rivals } = placeSources(usable);
    const taken = placed.filter((one) => isOfUse(one, placed, metered));
    const idle = placed.filter((one) => !taken.includes(one)).map(({ guess }) => guess);
    spare.push(...all.filter((guess) => !usable.includes(guess)), ...rivals, ...idle);
    if (taken.length === 0) continue;
    const signature = taken.map(({ guess, suffix }) => `${guess.at} ${guess.is} ${suffix}`);
    topics.push({ topic, placed: taken, signature: signature.sort().join('\n') });
  }

  const ids = createIdBook();
  const feedNames = new Set(existing.feeds);
  const plugs = new Map<string, PlugSketch>();
  const probes = new Set<string>();
  const feeds = groupTopics(topics).map((group) => {
    const { feed, named } = sketchFeed(group, ids, feedNames);
    for (const { id, guess, from } of named) {
      if (from === 'probe') probes.add(id);
      else if (guess.restarts !== 'never' || !plugs.has(id)) {
        plugs.set(id, { id, restarts: guess.restarts });
      }
    }
    return feed;
  });
  return {
    feeds,
    plugs: [...plugs.values()].filter(({ id }) => !existing.plugs.has(id)),
    probes: [...probes].filter((id) => !existing.probes.has(id)),
    spare,
  };
}

const isUsable = (guess: Guess): boolean =>
  guess.confidence !== 'maybe' &&
  guess.is !== 'not-billed' &&
  guess.is !== 'unclear' &&
  guess.claimedBy.length === 0;

const isMetered = ({ is }: Guess): boolean => is === 'power' || is === 'counter';

/** Topics of power and counters; where a level names the quantity, by what is left without it. */
const meteredTopics = (guesses: readonly Guess[]): ReadonlySet<string> =>
  new Set(guesses.filter(isMetered).map(({ topic }) => withoutQuantity(topic)));

const withoutQuantity = (topic: string): string =>
  topic
    .split('/')
    .map((level) => (hintsIn(level).some(({ is }) => QUANTITIES.has(is)) ? '+' : level))
    .join('/');

const QUANTITIES: ReadonlySet<string> = new Set(['power', 'counter', 'voltage']);

/** The voltage at a plug is of use where the plug is metered, on the same topic or a sister topic. */
const isOfUse = (
  { guess, suffix }: Placed,
  placed: readonly Placed[],
  metered: ReadonlySet<string>,
): boolean =>
  guess.is !== 'voltage' ||
  placed.some((other) => isMetered(other.guess) && other.suffix === suffix) ||
  (!placed.some((other) => isMetered(other.guess)) && metered.has(withoutQuantity(guess.topic)));

/** A filter cannot spell braces, nor reach into '$' topics; longer topics are not worth a feed. */
const canBeFiltered = (topic: string): boolean => /^[^$+#{}][^+#{}]{0,500}$/.test(topic);

/** Hands out ids so that no measure of one source comes from two topics. */
function createIdBook(): { claim(base: string, keys: (id: string) => string[]): string } {
  const claimed = new Set<string>();
  return {
    claim(base, keys) {
      for (let turn = 1; ; turn += 1) {
        const id = turn === 1 ? base : `${base}-${turn}`;
        if (keys(id).some((key) => claimed.has(key))) continue;
        for (const key of keys(id)) claimed.add(key);
        return id;
      }
    },
  };
}

type IdBook = ReturnType<typeof createIdBook>;
type Named = { id: string; from: 'plug' | 'probe'; guess: Guess };

function sketchFeed(
  group: TopicGroup<Topic>,
  ids: IdBook,
  feedNames: Set<string>,
): { feed: FeedSketch; named: Named[] } {
  const [first] = group.members as readonly [Topic, ...Topic[]];
  const levels = first.topic.split('/');
  const lone = group.members.length === 1;
  const from = sourceKind(first);
  const word = `{${first.placed.some(({ guess }) => from(guess) === 'plug') ? 'plug' : 'probe'}}`;

  const texts = group.members.map(({ topic }) => topic.split('/')[group.level] ?? '');
  // Sockets are often numbered anew on each strip: the strip's name goes in front.
  const numbered = texts.some((text) => /^\d*$/.test(text));
  const prefix = numbered ? slugOf(levels[group.level - 1] ?? '') || 'socket' : '';
  const prefixed = (id: string) => [prefix, id].filter((part) => part !== '').join('-');

  const names = new Map<string, string>();
  const named: Named[] = [];
  for (const [index, { placed }] of group.members.entries()) {
    const text = texts[index] ?? '';
    const id = ids.claim(slugOf(text) || 'unnamed', (candidate) =>
      placed.map(({ guess, suffix }) =>
        [from(guess), guess.is, prefixed(candidate) + suffix].join(' '),
      ),
    );
    if (id !== text) names.set(text, id);
    for (const { guess, suffix } of placed) {
      named.push({ id: prefixed(id) + suffix, from: from(guess), guess });
    }
  }

  const base = prefixed(lone ? (names.get(texts[0] ?? '') ?? texts[0] ?? '') : word);
  const rest = lone ? levels : levels.toSpliced(group.level, 1);
  const feed: FeedSketch = {
    name: freeName(slugOf(rest.join('-')) || 'feed', feedNames),
    topic: lone ? first.topic : levels.with(group.level, word).join('/'),
    names: lone ? new Map() : names,
    decimalComma: group.members.some(({ placed }) => placed.some((p) => p.guess.decimalComma)),
    values: first.placed.map(({ guess, suffix }) => {
      const same = group.members.flatMap(({ placed }) =>
        placed.filter((other) => other.guess.at === guess.at && other.guess.is === guess.is),
      );
      return valueSketch(same, from(guess), base + suffix);
    }),
  };
  return { feed, named };
}

/** Presence speaks for whatever else the topic tells of; alone it is taken for a plug's. */
const sourceKind =
  ({ placed }: Topic) =>
  ({ is }: Guess): 'plug' | 'probe' => {
    if (is === 'temperature' || is === 'humidity') return 'probe';
    const onlyProbes = placed.some(({ guess }) => guess.is === 'temperature');
    return is === 'presence' && onlyProbes ? 'probe' : 'plug';
  };

function valueSketch(same: readonly Placed[], from: 'plug' | 'probe', source: string): ValueSketch {
  const loudest = same
    .map(({ guess }) => guess)
    .reduce((best, next) =>
      next.confidence === 'sure' && best.confidence !== 'sure' ? next : best,
    );
  return {
    measure: loudest.is as ValueSketch['measure'],
    from,
    source,
    at: loudest.at,
    unit: loudest.unit,
    sentinels: [...new Set(same.flatMap(({ guess }) => guess.sentinels))],
    because: loudest,
  };
}

function freeName(base: string, taken: Set<string>): string {
  for (let turn = 1; ; turn += 1) {
    const name = turn === 1 ? base : `${base}-${turn}`;
    if (taken.has(name)) continue;
    taken.add(name);
    return name;
  }
}
