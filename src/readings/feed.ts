import { CodedError } from '../units/index.ts';
import type { Claim, Tap } from './claim.ts';
import type { FeedConfig, FeedValue } from './config.ts';
import { compilePointer } from './pointer.ts';
import { compileStamp } from './stamp.ts';
import { compileTopic } from './topic.ts';
import { compileValue, words } from './value.ts';

/** The plugs and probes that the config has. */
export interface Sources {
  readonly plug: ReadonlySet<string>;
  readonly probe: ReadonlySet<string>;
}

export interface Feed {
  readonly filter: string;
  /** What this feed takes from `topic`, or undefined when the topic is not its own. */
  claim(topic: string): Claim | undefined;
}

/** The text of each named level of a topic. */
type Levels = ReadonlyMap<string, string>;

/**
 * @throws CodedError AMP_FEED_LEVEL when a source names a level that the topic does not have,
 * AMP_CALENDAR_ZONE for an unknown zone. The config schema refuses both before.
 */
export function compileFeed(name: string, feed: FeedConfig, sources: Sources): Feed {
  const topic = compileTopic(feed.topic);
  const noValue = words(feed.no_value);
  const ids = new Map(Object.entries(feed.names));
  const stamp =
    feed.time === undefined
      ? undefined
      : { path: compilePointer(feed.time.at), read: compileStamp(feed.time) };

  const outlets = feed.values.flatMap((value) => {
    const read = compileValue(feed, value, noValue);
    const path = value.at === undefined ? undefined : compilePointer(value.at);
    const register = value.measure === 'counter' ? value.register : undefined;
    return sourcesOf(value).map(({ from, template }) => {
      const idOn = compileTemplate(template, topic.names, ids, name);
      return (levels: Levels): Tap => {
        const id = idOn(levels);
        const source = sources[from].has(id) ? { from, id } : undefined;
        return { from, id, source, measure: value.measure, register, path, read };
      };
    });
  });

  return {
    filter: topic.filter,
    claim(concrete) {
      const levels = topic.match(concrete);
      if (levels === undefined) return undefined;
      return { feed: name, taps: outlets.map((outlet) => outlet(levels)), stamp, noValue };
    },
  };
}

function sourcesOf(value: FeedValue): { from: 'plug' | 'probe'; template: string }[] {
  const plug = 'plug' in value ? value.plug : undefined;
  const probe = 'probe' in value ? value.probe : undefined;
  return [
    ...(plug === undefined ? [] : [{ from: 'plug' as const, template: plug }]),
    ...(probe === undefined ? [] : [{ from: 'probe' as const, template: probe }]),
  ];
}

const LEVEL = /\{([a-z][a-z0-9_]*)\}/;

/** An id, or a pattern such as '{strip}-2', as a function of the topic's named levels. */
function compileTemplate(
  template: string,
  names: readonly string[],
  ids: ReadonlyMap<string, string>,
  feed: string,
): (levels: Levels) => string {
  // split() with a captured group alternates literal text and level names.
  const parts = template.split(LEVEL);
  const missing = parts.find((part, index) => index % 2 === 1 && !names.includes(part));
  if (missing !== undefined) {
    throw new CodedError('AMP_FEED_LEVEL', `feed '${feed}' has no topic level {${missing}}`, {
      remedy: `write {${missing}} for one level of its topic, or give the id itself`,
    });
  }
  const fill = (part: string, levels: Levels): string => {
    const text = levels.get(part) ?? '';
    return ids.get(text) ?? text;
  };
  return (levels) =>
    parts.map((part, index) => (index % 2 === 0 ? part : fill(part, levels))).join('');
}
