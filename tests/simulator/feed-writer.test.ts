import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type FeedConfig, feedConfig } from '../../src/readings/config.ts';
import { compileFeeds, type Measure, type Reading } from '../../src/readings/index.ts';
import { topicWriters } from '../../src/simulator/feed-writer.ts';
import { later } from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import { fishRoom, START } from './houses.ts';

/** The last step that a device of this unit shows, in W, Wh, °C or %. */
const STEP: Readonly<Record<string, number>> = {
  W: 0.1,
  kW: 1,
  mW: 0.001,
  Wh: 1,
  kWh: 1,
  mWh: 0.001,
  Ws: 1 / 3600,
  Wmin: 1 / 60,
  V: 0.1,
  mV: 0.001,
  C: 0.01,
  F: 0.1 / 1.8,
  K: 0.01,
  '%': 0.1,
  fraction: 0.1,
};

type Truth = Readonly<Record<Measure, number>>;
type Feeds = Readonly<Record<string, FeedConfig>>;
interface Heard {
  readonly reading: Reading;
  readonly feed: FeedConfig;
}
type Sources = { readonly plugs: readonly string[]; readonly probes: readonly string[] };

/** Evenly spread, in steps finer than any device shows: fc.double() would mostly give tiny numbers. */
const between = (min: number, max: number): fc.Arbitrary<number> =>
  fc.integer({ min: min * 10_000, max: max * 10_000 }).map((steps) => steps / 10_000);

const amountFor: Readonly<Record<Measure, fc.Arbitrary<number>>> = {
  power: fc.oneof(fc.constant(0), between(0, 1_400)),
  counter: fc.oneof(fc.constant(0), between(0, 200_000)),
  voltage: between(85, 265),
  temperature: between(-4, 40),
  humidity: between(1, 99),
  presence: fc.constantFrom(0, 1),
};

/** One made-up value for each measure. */
const amounts = fc.record(amountFor);

/** Writes all topics once, and reads them again. */
function readBack(feeds: Feeds, sources: Sources, truth: Truth): Heard[] {
  const book = compileFeeds(feeds, sources);
  const writers = topicWriters(Object.values(feeds), [
    ...sources.plugs.map((id) => `plug/${id}`),
    ...sources.probes.map((id) => `probe/${id}`),
  ]);
  return writers.flatMap((writer) => {
    const message = writer.write((_from, _id, measure) => truth[measure], START);
    if (message === undefined) throw new Error(`nothing to write on ${writer.topic}`);
    const [name, ...others] = book.feedsOf(message.topic);
    expect(others).toEqual([]);
    const feed = feeds[name ?? ''];
    if (feed === undefined) throw new Error(`nobody claims ${message.topic}`);
    const decoded = book.decode({
      topic: message.topic,
      payload: new TextEncoder().encode(message.payload),
      retained: false,
      arrived: later(START, 500),
    });
    expect(decoded.refusals, message.payload).toEqual([]);
    return decoded.readings.map((reading) => ({ reading, feed }));
  });
}

/** Holds a reading against the truth, within what its feed can show. */
function expectNear({ reading, feed }: Heard, truth: Truth): void {
  const { measure, value } = reading;
  if (measure === 'presence') {
    expect(value).toBe(truth.presence);
    return;
  }
  const units = feed.values.flatMap((it) =>
    it.measure === measure && 'unit' in it ? [STEP[it.unit] ?? Number.NaN] : [],
  );
  const step = Math.max(...units);
  const off = value - truth[measure];
  // A counter never shows a step before it is through.
  const most = measure === 'counter' ? 0.01 * step : 0.51 * step;
  expect(off, `${measure} ${value}`).toBeLessThanOrEqual(most);
  expect(off, `${measure} ${value}`).toBeGreaterThanOrEqual(
    measure === 'counter' ? -1.01 * step : -most,
  );
  expect(reading.at).toBe(feed.time === undefined ? later(START, 500) : START);
}

/** Places in a payload, none of which lies on the way to another. */
const POINTERS = [
  '/w',
  '/',
  '/meter/sum',
  '/meter/per~1day',
  '/tilde~0t',
  '/tilde~01',
  '/list/0',
  '/list/2/v',
  '/deep/0/1/2',
  '/mixed/0',
  '/mixed/name',
  '/007',
  '/123456789',
  '/__proto__',
  '/constructor/prototype',
];

const anyValue = fc.record({
  measure: fc.constantFrom<Measure>(
    'power',
    'counter',
    'voltage',
    'temperature',
    'humidity',
    'presence',
  ),
  power: fc.constantFrom('W', 'kW', 'mW'),
  counter: fc.constantFrom('Wh', 'kWh', 'mWh', 'Ws', 'Wmin'),
  voltage: fc.constantFrom('V', 'mV'),
  temperature: fc.constantFrom('C', 'F', 'K'),
  humidity: fc.constantFrom('%', 'fraction'),
  sign: fc.constantFrom('as-sent', 'reversed', 'absolute'),
  scale: fc.constantFrom(1, 10, 0.1, 0.01, 2, 0.5, 3),
  offset: fc.constantFrom(0, 1.5, -12),
});

type Made = typeof anyValue extends fc.Arbitrary<infer T> ? T : never;

/** Patterns that stand together in a feed: no id fits two of them. */
const PATTERNS = [
  ['{n_2}'],
  ['box-{n_2}', '{n_2}-left', '{n_2}-right'],
  ['a-{n_2}-b', 'c-{n_2}-d'],
] as const;

function configured(made: Made, pattern: string, at?: string) {
  const { measure, sign, scale, offset } = made;
  const place = at === undefined ? {} : { at };
  if (measure === 'presence') return { measure, plug: pattern, ...place };
  if (measure === 'power') {
    return { measure, plug: pattern, unit: made.power, sign, scale, offset, ...place };
  }
  if (measure === 'counter') return { measure, plug: pattern, unit: made.counter, scale, ...place };
  if (measure === 'voltage') {
    return { measure, plug: pattern, unit: made.voltage, scale, offset, ...place };
  }
  return { measure, probe: pattern, unit: made[measure], scale, offset, ...place };
}

/** A feed as somebody might configure it, and the plugs and probes that it tells of. */
const anyFeed = fc
  .record({
    topic: fc.constantFrom('{n_2}', 'loft/{n_2}/state', '+/{n_2}/#', 'a/{other}/{n_2}'),
    values: fc.array(anyValue, { minLength: 1, maxLength: 6 }),
    patterns: fc.constantFrom(...PATTERNS),
    pointers: fc.shuffledSubarray(POINTERS, { minLength: 7, maxLength: 7 }),
    bare: fc.boolean(),
    time: fc.option(fc.constantFrom('iso', 'epoch-s', 'epoch-ms'), { nil: undefined }),
    comma: fc.boolean(),
    texts: fc.uniqueArray(fc.constantFrom('1', 'k9', 'reed', 'n-07'), { minLength: 1 }),
    renamed: fc.boolean(),
  })
  .map(({ topic, values, patterns, pointers, bare, time, comma, texts, renamed }) => {
    const written = bare
      ? values.slice(0, 1).map((value) => configured(value, patterns[0]))
      : values.map((value, index) =>
          configured(value, patterns[index % patterns.length] ?? patterns[0], pointers[index]),
        );
    const feed = feedConfig.parse({
      topic,
      values: written,
      decimal_comma: comma,
      names: renamed ? Object.fromEntries(texts.map((text) => [`No. ${text} ü`, text])) : {},
      ...(time === undefined || bare ? {} : { time: { at: pointers.at(-1), format: time } }),
    });
    const ids = (from: 'plug' | 'probe'): string[] => {
      const patterns = written.flatMap((value) =>
        from in value ? [value[from as never] as string] : [],
      );
      return [...new Set(patterns.flatMap((it) => texts.map((text) => it.replace('{n_2}', text))))];
    };
    return { feed, texts, sources: { plugs: ids('plug'), probes: ids('probe') } };
  });

describe('what the simulator writes', () => {
  it('is read by the feeds of the fish room as what it was, within their rounding', () => {
    const { config } = fishRoom();
    const sources = { plugs: Object.keys(config.plugs), probes: Object.keys(config.probes) };
    fc.assert(
      fc.property(amounts, (truth) => {
        const heard = readBack(config.feeds, sources, truth);
        for (const it of heard) expectNear(it, truth);
        const feeds = new Set(heard.map(({ feed }) => feed));
        expect(feeds.size).toBe(Object.keys(config.feeds).length);
        const told = new Set(heard.map(({ reading }) => `${reading.from}/${reading.id}`));
        expect(told.size).toBe(sources.plugs.length + sources.probes.length);
      }),
      runs(20),
    );
  });

  it('is read by whatever feed can be configured as what it was', () => {
    fc.assert(
      fc.property(anyFeed, amounts, ({ feed, texts, sources }, truth) => {
        const heard = readBack({ made: feed }, sources, truth);
        for (const it of heard) expectNear(it, truth);
        expect(heard.length).toBe(feed.values.length * texts.length);
      }),
      runs(400),
    );
  });

  it('tells nothing of sources that no feed tells of', () => {
    const feed = feedConfig.parse({ topic: 'a/{plug}', values: [{ measure: 'power' }] });
    const named = feedConfig.parse({
      topic: 'b/{n}',
      names: { x: 'reed' },
      values: [{ measure: 'temperature', probe: '{n}' }],
    });
    expect(
      topicWriters([feed, named], ['probe/moss', 'probe/reed', 'plug/one']).map(
        ({ topic }) => topic,
      ),
    ).toEqual(['b/x', 'a/one']);
  });

  it('takes the pattern that spells out most of an id, for each kind of measure', () => {
    const feeds = [
      { topic: 'wide/{plug}', values: [{ measure: 'power' }] },
      { topic: 'near/{n}', values: [{ measure: 'counter', plug: 'wall-{n}' }] },
      { topic: 'seen/{plug}', values: [{ measure: 'presence', plug: '{plug}' }] },
    ].map((feed) => feedConfig.parse(feed));
    const topics = (id: string) => topicWriters(feeds, [`plug/${id}`]).map(({ topic }) => topic);
    expect(topics('wall-3')).toEqual(['near/3', 'seen/wall-3']);
    expect(topics('shelf')).toEqual(['wide/shelf', 'seen/shelf']);
  });

  it('takes a level that stands twice in a pattern for the same text twice', () => {
    const feed = feedConfig.parse({
      topic: 'a/{n}',
      values: [{ measure: 'power', plug: '{n}-x-{n}' }],
    });
    expect(topicWriters([feed], ['plug/1-x-1', 'plug/1-x-2']).map(({ topic }) => topic)).toEqual([
      'a/1',
    ]);
  });

  it('says that a sensor is broken in the words of its feed, or nothing', () => {
    const feed = (sentinels: number[], decimal_comma: boolean) =>
      feedConfig.parse({
        topic: 'a/{probe}',
        decimal_comma,
        values: [{ measure: 'temperature', sentinels }],
      });
    const said = (made: FeedConfig) =>
      topicWriters([made], ['probe/reed'])[0]?.write(() => 'broken', START)?.payload;
    expect(said(feed([-127, 85], false))).toBe('-127');
    expect(said(feed([-127.5], true))).toBe('-127,5');
    expect(said(feed([], false))).toBeUndefined();
  });

  it('is retained where it is about presence alone', () => {
    const feed = feedConfig.parse({
      topic: 'a/{plug}',
      values: [{ measure: 'presence', plug: '{plug}', on: ['up'], off: ['down'] }],
    });
    const [writer] = topicWriters([feed], ['plug/reed']);
    expect(writer?.write(() => 1, START)).toEqual({
      at: START,
      topic: 'a/reed',
      payload: 'up',
      retain: true,
    });
    expect(writer?.write(() => 0, START)?.payload).toBe('down');
    expect(writer?.write(() => undefined, START)).toBeUndefined();
  });
});
