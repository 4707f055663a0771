import type { Instant } from '../units/index.ts';

/** The parts of a feed's config that say what its messages look like. */
export interface WrittenFeed {
  readonly topic: string;
  readonly names: Readonly<Record<string, string>>;
  readonly values: readonly WrittenValue[];
  readonly time?: { readonly at: string; readonly format: string } | undefined;
  readonly decimal_comma: boolean;
}

export interface WrittenValue {
  readonly measure: 'power' | 'counter' | 'temperature' | 'humidity' | 'presence';
  readonly plug?: string | undefined;
  readonly probe?: string | undefined;
  readonly at?: string | undefined;
  readonly unit?: string;
  readonly sign?: string;
  readonly on?: readonly string[];
  readonly off?: readonly string[];
}

/** Gives a source's value in W, Wh, °C, %, or 1/0 for presence; undefined when it has none now. */
export type Sense = (
  from: 'plug' | 'probe',
  id: string,
  measure: WrittenValue['measure'],
) => number | undefined;

export interface Outgoing {
  readonly topic: string;
  readonly payload: string;
  readonly retain: boolean;
}

/** One concrete topic of a feed, ready to be written again and again. */
export interface TopicWriter {
  readonly topic: string;
  readonly sources: readonly string[];
  readonly presenceOnly: boolean;
  write(sense: Sense, at: Instant): Outgoing | undefined;
}

/** From W, Wh, °C or % to a feed's unit, with the decimals that such a device would send. */
const UNITS: Readonly<Record<string, { from(value: number): number; decimals: number }>> = {
  W: { from: (w) => w, decimals: 1 },
  kW: { from: (w) => w / 1e3, decimals: 3 },
  mW: { from: (w) => w * 1e3, decimals: 0 },
  Wh: { from: (wh) => wh, decimals: 0 },
  kWh: { from: (wh) => wh / 1e3, decimals: 3 },
  mWh: { from: (wh) => wh * 1e3, decimals: 0 },
  Ws: { from: (wh) => wh * 3600, decimals: 0 },
  Wmin: { from: (wh) => wh * 60, decimals: 0 },
  C: { from: (c) => c, decimals: 2 },
  F: { from: (c) => c * 1.8 + 32, decimals: 1 },
  K: { from: (c) => c + 273.15, decimals: 2 },
  '%': { from: (p) => p, decimals: 1 },
  fraction: { from: (p) => p / 100, decimals: 3 },
};

/**
 * All concrete topics on which the given sources ('plug/ID', 'probe/ID') speak. Where the patterns
 * of several feeds fit a source, the one that spells out most of its id is meant.
 */
export function topicWriters(
  feeds: readonly WrittenFeed[],
  sources: readonly string[],
): TopicWriter[] {
  const candidates = feeds.flatMap((feed) => feed.values.map((value) => ({ feed, value })));
  const writers = new Map<string, TopicWriter>();
  for (const source of sources) {
    const fitting = candidates.flatMap(({ feed, value }) => {
      const levels = levelsFor(feed, value, source);
      const topic = levels === undefined ? undefined : fill(feed.topic, levels);
      if (topic === undefined || levels === undefined) return [];
      return [{ feed, topic, levels, spelled: spelledOut(feed, value) }];
    });
    const most = Math.max(...fitting.map(({ spelled }) => spelled));
    for (const { feed, topic, levels, spelled } of fitting) {
      if (spelled < most || writers.has(topic)) continue;
      writers.set(topic, topicWriter(feed, topic, levels));
    }
  }
  return [...writers.values()];
}

/** How much of a source's id a pattern spells out; a feed that lists its names, all of it. */
const spelledOut = (feed: WrittenFeed, value: WrittenValue): number =>
  Object.keys(feed.names).length > 0
    ? Number.MAX_SAFE_INTEGER
    : (value.plug ?? value.probe ?? '').replace(/\{[a-z_]+\}/g, '').length;

/** The level texts under which a value belongs to `source`, or undefined when it never does. */
function levelsFor(
  feed: WrittenFeed,
  value: WrittenValue,
  source: string,
): Record<string, string> | undefined {
  const [from, id] = source.split('/', 2) as ['plug' | 'probe', string];
  const pattern = value[from];
  if (pattern === undefined) return undefined;
  const names: string[] = [];
  const expression = pattern
    .split(/(\{[a-z_]+\})/)
    .map((part) => {
      if (!part.startsWith('{')) return part;
      names.push(part.slice(1, -1));
      return '([a-z0-9-]+)';
    })
    .join('');
  const match = new RegExp(`^${expression}$`).exec(id);
  if (match === null) return undefined;
  const given = Object.entries(feed.names);
  const levels: Record<string, string> = {};
  for (const [index, name] of names.entries()) {
    const text = match[index + 1] ?? '';
    const renamed = given.find(([, meant]) => meant === text);
    // A feed that lists its names speaks of those sources only.
    if (given.length > 0 && renamed === undefined) return undefined;
    levels[name] = renamed?.[0] ?? text;
  }
  return levels;
}

function fill(topic: string, levels: Record<string, string>): string | undefined {
  const filled = topic.replace(/\{([a-z_]+)\}/g, (all, name: string) => levels[name] ?? all);
  return filled.includes('{') ? undefined : filled;
}

function topicWriter(
  feed: WrittenFeed,
  topic: string,
  levels: Record<string, string>,
): TopicWriter {
  const values = feed.values.map((value) => {
    const from = value.plug === undefined ? ('probe' as const) : ('plug' as const);
    const text = (value[from] ?? '').replace(/\{([a-z_]+)\}/g, (_, name: string) => {
      const level = levels[name] ?? '';
      return feed.names[level] ?? level;
    });
    return { ...value, from, id: text };
  });
  const presenceOnly = values.every((value) => value.measure === 'presence');
  return {
    topic,
    sources: values.map(({ from, id }) => `${from}/${id}`),
    presenceOnly,
    write(sense, at) {
      let document: unknown;
      for (const value of values) {
        const written = writeValue(feed, value, sense(value.from, value.id, value.measure));
        if (written === undefined) continue;
        if (value.at === undefined) {
          return { topic, payload: String(written), retain: presenceOnly };
        }
        document = place(document, value.at.split('/').slice(1), written);
      }
      if (document === undefined) return undefined;
      if (feed.time !== undefined) {
        document = place(document, feed.time.at.split('/').slice(1), stamp(feed.time.format, at));
      }
      return { topic, payload: JSON.stringify(document), retain: presenceOnly };
    },
  };
}

function writeValue(
  feed: WrittenFeed,
  value: WrittenValue,
  amount: number | undefined,
): string | number | undefined {
  if (amount === undefined) return undefined;
  if (value.measure === 'presence') return (amount === 1 ? value.on : value.off)?.[0];
  const unit = UNITS[value.unit ?? ''];
  if (unit === undefined) return undefined;
  const signed = value.sign === 'reversed' ? -amount : amount;
  // Counters show whole steps that have passed, never one that is still to come.
  const scale = 10 ** unit.decimals;
  const steps = unit.from(signed) * scale;
  const shown = (value.measure === 'counter' ? Math.floor(steps) : Math.round(steps)) / scale;
  return feed.decimal_comma ? shown.toFixed(unit.decimals).replace('.', ',') : shown;
}

const stamp = (format: string, at: Instant): string | number =>
  format === 'iso' ? new Date(at).toISOString() : format === 'epoch-s' ? Math.floor(at / 1000) : at;

/** Puts `leaf` at a path, making objects, or arrays where the path has numbers. */
function place(document: unknown, path: readonly string[], leaf: unknown): unknown {
  const [key, ...rest] = path;
  if (key === undefined) return leaf;
  if (/^\d+$/.test(key)) {
    const list = Array.isArray(document) ? document : [];
    list[Number(key)] = place(list[Number(key)], rest, leaf);
    return list;
  }
  const object = (document ?? {}) as Record<string, unknown>;
  object[key] = place(object[key], rest, leaf);
  return object;
}
