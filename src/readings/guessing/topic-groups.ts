import { grouped } from './grouped.ts';
import { hintsIn } from './name-hints.ts';

/** Topics that one feed can read: equal but for the text of one level. */
export interface TopicGroup<T> {
  readonly members: readonly T[];
  /** The level that names the source: the one that differs, or the likeliest of a lone topic. */
  readonly level: number;
}

/**
 * Puts together topics of equal depth and equal `signature` that differ in one level, largest
 * groups first.
 */
export function groupTopics<T extends { readonly topic: string; readonly signature: string }>(
  items: readonly T[],
): TopicGroup<T>[] {
  const alike = grouped(items, (item) => `${item.topic.split('/').length} ${item.signature}`);
  return [...alike.values()].flatMap(groupAlike);
}

function groupAlike<T extends { readonly topic: string }>(items: readonly T[]): TopicGroup<T>[] {
  const groups: TopicGroup<T>[] = [];
  let left = items;
  for (;;) {
    const group = largestGroup(left);
    if (group === undefined) break;
    groups.push(group);
    const taken = new Set(group.members);
    left = left.filter((item) => !taken.has(item));
  }
  return [
    ...groups,
    ...left.map((item) => ({ members: [item], level: sourceLevel(item.topic.split('/')) })),
  ];
}

/** The most topics that differ in one level; undefined where no two do. */
function largestGroup<T extends { readonly topic: string }>(
  items: readonly T[],
): TopicGroup<T> | undefined {
  const buckets = new Map<string, { members: T[]; level: number }>();
  for (const item of items) {
    const levels = item.topic.split('/');
    for (const level of levels.keys()) {
      const key = JSON.stringify([level, levels.toSpliced(level, 1)]);
      const bucket = buckets.get(key) ?? { members: [], level };
      bucket.members.push(item);
      buckets.set(key, bucket);
    }
  }
  return [...buckets.values()].reduce<TopicGroup<T> | undefined>(
    (best, next) => (next.members.length > (best?.members.length ?? 1) ? next : best),
    undefined,
  );
}

/** Levels that say what kind of thing follows, not which one. */
const GENERIC = new Set(
  (
    'state status sensor sensors value values data info update telemetry reading readings event ' +
    'events output socket sockets plug plugs device devices relay relays switch meter meters now ' +
    'report reports message messages presence availability alive online link'
  ).split(' '),
);

/** The last level that is no kind of thing and no quantity. */
function sourceLevel(levels: readonly string[]): number {
  return Math.max(levels.findLastIndex(canNameSource), 0);
}

/** 'air' is a quantity's place and 'power' a quantity, but 'air-pump' is somebody. */
function canNameSource(level: string): boolean {
  if (level === '' || GENERIC.has(level.toLowerCase())) return false;
  const hints = hintsIn(level);
  const compound = /\p{L}\P{L}+\p{L}/u.test(level);
  return hints.length === 0 || (compound && hints.every(({ weak }) => weak === true));
}
