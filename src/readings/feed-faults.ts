import type { FeedConfig, FeedValue } from './config.ts';

/** Something that a feed says against itself, with its place within the feed. */
export interface FeedFault {
  readonly path: readonly (string | number)[];
  readonly message: string;
}

const LEVELS = /\{([a-z][a-z0-9_]*)\}/g;

/** What no single key shows: names that the topic does not give, values that nobody owns. */
export function faultsOfFeed(feed: Pick<FeedConfig, 'topic' | 'values'>): FeedFault[] {
  const names = [...feed.topic.matchAll(LEVELS)].map((found) => found[1]);
  const faults: FeedFault[] = [];
  if (new Set(names).size < names.length) {
    faults.push({ path: ['topic'], message: 'each named level has a name of its own' });
  }
  if (feed.topic.startsWith('$share/')) {
    faults.push({ path: ['topic'], message: 'a topic filter without $share' });
  }
  feed.values.forEach((value, index) => {
    for (const [key, template] of sourceKeys(value)) {
      const unknown = [...template.matchAll(LEVELS)].find((found) => !names.includes(found[1]));
      if (unknown !== undefined) {
        faults.push({
          path: ['values', index, key],
          message: `an id, or a level that the topic names: it has no ${unknown[0]}`,
        });
      }
    }
    if (value.measure !== 'presence') return;
    if (value.plug === undefined && value.probe === undefined) {
      faults.push({ path: ['values', index], message: 'a plug or a probe that is present or not' });
    }
    const both = value.on.find((word) => value.off.some((other) => equal(word, other)));
    if (both !== undefined) {
      faults.push({
        path: ['values', index, 'off'],
        message: `words other than those of on: '${both}' is in both`,
      });
    }
  });
  return faults;
}

function sourceKeys(value: FeedValue): ['plug' | 'probe', string][] {
  const keys: ['plug' | 'probe', string][] = [];
  if ('plug' in value && value.plug !== undefined) keys.push(['plug', value.plug]);
  if ('probe' in value && value.probe !== undefined) keys.push(['probe', value.probe]);
  return keys;
}

const equal = (a: string, b: string): boolean => a.trim().toLowerCase() === b.trim().toLowerCase();
