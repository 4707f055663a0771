import type { Instant } from '../units/index.ts';
import { createDocument, pathOf } from './document.ts';
import { type Choice, choose, filled } from './topics.ts';
import { written } from './written.ts';
import type { WrittenFeed, WrittenValue } from './written-feed.ts';

/**
 * Gives a source's value in W, Wh, V, °C, %, or 1/0 for presence; undefined when it has none now.
 * 'broken', where the feed has a word for that, when the sensor says that it is.
 */
export type Sense = (
  from: 'plug' | 'probe',
  id: string,
  measure: WrittenValue['measure'],
  canBreak: boolean,
) => number | 'broken' | undefined;

export interface Outgoing {
  readonly at: Instant;
  readonly topic: string;
  readonly payload: string;
  readonly retain: boolean;
}

/** One concrete topic of a feed, ready to be written again and again. */
export interface TopicWriter {
  readonly topic: string;
  /** 'plug/ID' and 'probe/ID' of what is told there. */
  readonly sources: readonly string[];
  readonly presenceOnly: boolean;
  /** Undefined when there is nothing to tell. */
  write(sense: Sense, at: Instant): Outgoing | undefined;
}

/**
 * All concrete topics on which the given sources ('plug/ID', 'probe/ID') speak. Where several feeds
 * could bring the same measure of a source, the one that spells out most of its id is meant.
 */
export function topicWriters(
  feeds: readonly WrittenFeed[],
  sources: readonly string[],
): TopicWriter[] {
  const writers = new Map<string, TopicWriter>();
  for (const source of sources) {
    for (const { feed, levels } of choose(feeds, source)) {
      const topic = filled(feed.topic, levels);
      if (!writers.has(topic)) writers.set(topic, topicWriter({ feed, levels }, topic));
    }
  }
  return [...writers.values()];
}

function topicWriter({ feed, levels }: Choice, topic: string): TopicWriter {
  const values = feed.values.map((value) => {
    const from = value.plug === undefined ? ('probe' as const) : ('plug' as const);
    const id = (template: string): string =>
      filled(template, (name) => {
        const level = levels(name);
        return feed.names[level] ?? level;
      });
    return {
      value,
      from,
      id: id(value[from] ?? ''),
      // A plug with a probe in it is there or gone as a whole.
      also: from === 'plug' && value.probe !== undefined ? [`probe/${id(value.probe)}`] : [],
      path: value.at === undefined ? undefined : pathOf(value.at),
    };
  });
  const paths = values.flatMap(({ path }) => (path === undefined ? [] : [path]));
  const document = createDocument(
    feed.time === undefined ? paths : [...paths, pathOf(feed.time.at)],
  );
  const presenceOnly = values.every(({ value }) => value.measure === 'presence');
  return {
    topic,
    sources: values.flatMap(({ from, id, also }) => [`${from}/${id}`, ...also]),
    presenceOnly,
    write(sense, at) {
      let place = 0;
      let told = false;
      document.clear();
      for (const { value, from, id, path } of values) {
        const amount = sense(from, id, value.measure, (value.sentinels ?? []).length > 0);
        const text = written(value, amount, feed.decimal_comma);
        if (path === undefined) {
          if (text === undefined) continue;
          return { at, topic, payload: String(text), retain: presenceOnly };
        }
        if (text !== undefined) {
          document.put(place, text);
          told = true;
        }
        place += 1;
      }
      if (!told) return undefined;
      if (feed.time !== undefined) document.put(place, stamp(feed.time.format, at));
      return { at, topic, payload: document.text(), retain: presenceOnly };
    },
  };
}

const stamp = (format: string, at: Instant): string | number =>
  format === 'iso' ? new Date(at).toISOString() : format === 'epoch-s' ? Math.floor(at / 1000) : at;
