import type { WrittenFeed, WrittenValue } from './written-feed.ts';

const LEVEL = /\{([a-z][a-z0-9_]*)\}/g;
/** What stands for a level that no id depends on. */
const ANY = 'any';

/** A feed that tells of a source, and the text of each level of its topic. */
export interface Choice {
  readonly feed: WrittenFeed;
  readonly levels: (name: string) => string;
}

/** The pattern with its levels filled in; wildcards become a level of their own. */
export const filled = (pattern: string, levels: (name: string) => string): string =>
  pattern
    .replace(LEVEL, (_, name: string) => levels(name))
    .split('/')
    .map((level) => (level === '+' || level === '#' ? ANY : level))
    .join('/');

/** Measures of one kind come from one make of plug or probe; whether it is there may come from all. */
const KINDS: Readonly<Record<WrittenValue['measure'], string>> = {
  power: 'meter',
  counter: 'meter',
  voltage: 'meter',
  temperature: 'climate',
  humidity: 'climate',
  presence: 'presence',
};

/** The feeds that tell of a source, each kind of measure through the patterns that fit best. */
export function choose(feeds: readonly WrittenFeed[], source: string): Choice[] {
  const fitting = feeds.flatMap((feed) =>
    feed.values.flatMap((value) => {
      const levels = levelsFor(feed, value, source);
      return levels === undefined
        ? []
        : [{ feed, kind: KINDS[value.measure], levels, spelled: spelledOut(feed, value) }];
    }),
  );
  const most = new Map<string, number>();
  for (const { kind, spelled } of fitting) {
    most.set(kind, Math.max(spelled, most.get(kind) ?? 0));
  }
  return fitting
    .filter(({ kind, spelled }) => spelled === most.get(kind))
    .map(({ feed, levels }) => ({ feed, levels: (name) => levels.get(name) ?? ANY }));
}

/** How much of a source's id a pattern spells out; a feed that lists its names, all of it. */
const spelledOut = (feed: WrittenFeed, value: WrittenValue): number =>
  Object.keys(feed.names).length > 0
    ? Number.MAX_SAFE_INTEGER
    : (value.plug ?? value.probe ?? '').replace(LEVEL, '').length;

/** The level texts under which a value belongs to `source`, or undefined when it never does. */
function levelsFor(
  feed: WrittenFeed,
  value: WrittenValue,
  source: string,
): ReadonlyMap<string, string> | undefined {
  const [from, id] = source.split('/', 2) as ['plug' | 'probe', string];
  const pattern = value[from];
  if (pattern === undefined) return undefined;
  // split() with a captured group alternates literal text and level names; ids need no escaping.
  const parts = pattern.split(new RegExp(LEVEL.source));
  const names = parts.filter((_, index) => index % 2 === 1);
  const shape = parts.map((part, index) => (index % 2 === 0 ? part : '([a-z0-9-]+)')).join('');
  const match = new RegExp(`^${shape}$`).exec(id);
  if (match === null) return undefined;
  const given = Object.entries(feed.names);
  const levels = new Map<string, string>();
  for (const [index, name] of names.entries()) {
    const meant = match[index + 1] ?? '';
    const renamed = given.find(([, known]) => known === meant);
    // A feed that lists its names speaks of those sources only.
    if (given.length > 0 && renamed === undefined) return undefined;
    const text = renamed?.[0] ?? meant;
    if (levels.has(name) && levels.get(name) !== text) return undefined;
    levels.set(name, text);
  }
  return levels;
}
