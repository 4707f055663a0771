import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type FeedConfig, feedsConfig } from '../../src/readings/config.ts';
import { compileFeeds, type Message } from '../../src/readings/index.ts';
import { CodedError, instant } from '../../src/units/index.ts';
import { messageOf, payloadCases } from './case.ts';

const NOON = instant(Date.UTC(2026, 0, 14, 12));

const message = (topic: string, payload: string): Message => ({
  topic,
  payload: Buffer.from(payload),
  retained: false,
  arrived: NOON,
});

/** More runs for a thorough look, fewer for a quick one. */
const { AMPULLA_PROPERTY_RUNS: runs = '3000' } = process.env;

/** One feed with everything in it that a feed can have. */
const everything = feedsConfig.parse({
  all: {
    topic: 'f/{plug}/{probe}',
    time: { at: '/t', zone: 'America/Winnipeg' },
    values: [
      { measure: 'power', at: '/p', sign: 'reversed' },
      { measure: 'counter', at: '/list/1/e' },
      { measure: 'voltage', at: '/v' },
      { measure: 'temperature', at: '/c', unit: 'F', sentinels: [85] },
      { measure: 'humidity', at: '/h', unit: 'fraction' },
      { measure: 'presence', plug: '{plug}', probe: '{probe}', at: '/up' },
    ],
  },
  bare: { topic: 'f/#', values: [{ measure: 'power', plug: 'a' }] },
  comma: { topic: '+/{plug}/+', decimal_comma: true, values: [{ measure: 'counter' }] },
});
const book = compileFeeds(everything, { plugs: ['a'], probes: ['b'] }, { largestPayload: 2000 });

const topics = fc.oneof(
  fc.constantFrom('f/a/b', 'f/a/x', 'f', 'g/a/b', '', '/', '$SYS/a/b', '__proto__/a/b'),
  fc.string({ unit: 'binary' }),
);
const scalar = fc.oneof(
  fc.double(),
  fc.constantFrom('85', 'nan', 'on', 'true', '12,5', '1e999', '', null, true, [], {}, -0, 85),
  fc.string(),
);
const near = fc.record(
  {
    t: fc.oneof(
      fc.date({ noInvalidDate: true }).map((date) => date.toISOString()),
      scalar,
    ),
    p: scalar,
    list: fc.oneof(fc.constant([null, { e: 5 }]), scalar),
    v: scalar,
    c: scalar,
    h: scalar,
    up: scalar,
  },
  { requiredKeys: [] },
);
const payloads = fc.oneof(
  fc.uint8Array({ maxLength: 40 }),
  fc.uint8Array({ minLength: 1990, maxLength: 2010 }),
  fc.string({ unit: 'binary' }).map((text) => Buffer.from(text)),
  fc.json().map((text) => Buffer.from(text)),
  near.map((value) => Buffer.from(JSON.stringify(value))),
  fc.integer({ min: 1, max: 990 }).map((deep) => Buffer.from('['.repeat(deep) + ']'.repeat(deep))),
);

describe('decoding', () => {
  it('never throws, and answers for every value of every message', () => {
    fc.assert(
      fc.property(topics, payloads, fc.boolean(), (topic, payload, retained) => {
        const { readings, refusals } = book.decode({ topic, payload, retained, arrived: NOON });
        const taps = book.feedsOf(topic).reduce((sum, feed) => sum + (feed === 'all' ? 7 : 1), 0);
        expect(readings.length + refusals.length).toBe(Math.max(taps, 1));
        for (const { value, id, at } of readings) {
          expect(Number.isFinite(value) && !Object.is(value, -0)).toBe(true);
          expect(['a', 'b']).toContain(id);
          expect(at).toBeLessThanOrEqual(NOON + 120_000);
        }
        for (const { found } of refusals) {
          expect(found.length).toBeLessThanOrEqual(120);
          expect(found).not.toMatch(/[\p{C}\p{Zl}\p{Zp}]/u);
        }
      }),
      { numRuns: Number(runs) },
    );
  });

  it('survives the deepest nesting and the longest digits that fit', () => {
    const large = compileFeeds(everything, { plugs: ['a'], probes: ['b'] });
    for (const text of ['['.repeat(65_536), '9'.repeat(65_535), `${'9'.repeat(65_534)}x`]) {
      expect(large.decode(message('f/a/b', text)).readings).toEqual([]);
    }
    const deep = `{"p":${'['.repeat(32_000)}${']'.repeat(32_000)}}`;
    expect(large.decode(message('f/a/b', deep)).readings).toEqual([]);
  });

  it('reads the same however many other topics came in between', () => {
    const small = compileFeeds(
      feedsConfig.parse({ p: { topic: 's/{plug}', values: [{ measure: 'power' }] } }),
      { plugs: ['a'], probes: [] },
      { rememberedTopics: 3 },
    );
    for (let other = 0; other < 50; other += 1) {
      expect(small.decode(message('s/a', String(other))).readings[0]?.value).toBe(other);
      expect(small.decode(message(`s/x${other}`, '1')).refusals[0]?.reason).toBe('unknown-source');
    }
  });

  it('leaves the payload of a message alone', () => {
    for (const { feeds, plugs, probes, messages } of payloadCases()) {
      const compiled = compileFeeds(feeds, { plugs, probes });
      for (const given of messages) {
        const sent = messageOf(given);
        const before = Buffer.from(sent.payload);
        const first = compiled.decode(sent);
        expect(Buffer.compare(before, sent.payload)).toBe(0);
        expect(compiled.decode(sent)).toEqual(first);
      }
    }
  });

  it('subscribes to nothing twice', () => {
    expect(book.filters).toEqual(['f/#', '+/+/+']);
  });

  it('says which feeds read a topic', () => {
    expect(book.feedsOf('f/a/b')).toEqual(['all', 'bare', 'comma']);
    expect(book.feedsOf('h')).toEqual([]);
  });
});

describe('units and scales', () => {
  const units = {
    power: { W: 1, kW: 1e-3, mW: 1e3 },
    counter: { Wh: 1, kWh: 1e-3, mWh: 1e3, Ws: 3600, Wmin: 60 },
  };

  it.each(
    Object.entries(units).flatMap(([measure, per]) =>
      Object.entries(per).map(([unit, perSi]) => ({ measure, unit, perSi })),
    ),
  )('bring $measure back from $unit at any scale', ({ measure, unit, perSi }) => {
    const amount = fc.double({ min: 0.01, max: 90_000, noNaN: true });
    const scales = fc.double({ min: 1e-4, max: 1e4, noNaN: true });
    fc.assert(
      fc.property(amount, scales, fc.integer({ min: -9, max: 9 }), (value, scale, offset) => {
        const feeds = feedsConfig.parse({
          f: { topic: 't', values: [{ measure, unit, scale, offset, plug: 'a' }] },
        });
        const raw = (value * perSi - offset) / scale;
        const { readings } = compileFeeds(feeds, { plugs: ['a'], probes: [] }).decode(
          message('t', String(raw)),
        );
        const size = Math.max(value, Math.abs(offset) / perSi);
        expect(readings).toHaveLength(1);
        expect(Math.abs((readings[0]?.value ?? NaN) - value)).toBeLessThanOrEqual(size * 1e-12);
      }),
      { numRuns: 200 },
    );
  });

  it('bring temperatures back from Fahrenheit and Kelvin', () => {
    const feeds = feedsConfig.parse({
      f: { topic: 'f', values: [{ measure: 'temperature', unit: 'F', probe: 'b' }] },
      k: { topic: 'k', values: [{ measure: 'temperature', unit: 'K', probe: 'b' }] },
    });
    const compiled = compileFeeds(feeds, { plugs: [], probes: ['b'] });
    fc.assert(
      fc.property(fc.double({ min: -59, max: 119, noNaN: true }), (celsius) => {
        const sent = { f: (celsius * 9) / 5 + 32, k: celsius + 273.15 };
        for (const [topic, raw] of Object.entries(sent)) {
          const [reading] = compiled.decode(message(topic, String(raw))).readings;
          expect(reading?.value).toBeCloseTo(celsius, 9);
        }
      }),
    );
  });
});

describe('a feed that cannot work', () => {
  const issues = (feed: unknown) =>
    feedsConfig.safeParse({ f: feed }).error?.issues.map((issue) => issue.path.join('.')) ?? [];
  const power = { measure: 'power', plug: 'a' };

  it.each<[string, unknown, string]>([
    [
      'a level that the topic lacks',
      { topic: 'a/b', values: [{ measure: 'power' }] },
      'f.values.0.plug',
    ],
    ['one name for two levels', { topic: '{plug}/{plug}', values: [power] }, 'f.topic'],
    ['a # in the middle', { topic: 'a/#/b', values: [power] }, 'f.topic'],
    ['half a level named', { topic: 'a/plug-{plug}', values: [power] }, 'f.topic'],
    ['a shared subscription', { topic: '$share/g/a', values: [power] }, 'f.topic'],
    [
      'no such zone',
      { topic: 'a', time: { at: '/t', zone: 'Atlantis/Main' }, values: [power] },
      'f.time.zone',
    ],
    ['presence of nobody', { topic: 'a', values: [{ measure: 'presence' }] }, 'f.values.0'],
    [
      'a word for both',
      { topic: 'a', values: [{ measure: 'presence', plug: 'a', on: ['Yes'], off: ['yes'] }] },
      'f.values.0.off',
    ],
    ['a scale of zero', { topic: 'a', values: [{ ...power, scale: 0 }] }, 'f.values.0.scale'],
    [
      'an empty range',
      { topic: 'a', values: [{ ...power, plausible: { min: 5, max: 5 } }] },
      'f.values.0.plausible',
    ],
    [
      'a unit of something else',
      { topic: 'a', values: [{ ...power, unit: 'Wh' }] },
      'f.values.0.unit',
    ],
  ])('is refused by the config: %s', (_, feed, path) => {
    expect(issues(feed)).toEqual([path]);
  });

  it('is refused by the compiler as well', () => {
    const { f } = feedsConfig.parse({
      f: { topic: '{strip}', values: [{ measure: 'power', plug: '{strip}' }] },
    });
    const unchecked = { ...f, topic: 'a/b' } as FeedConfig;
    const compile = () => compileFeeds({ f: unchecked }, { plugs: [], probes: [] });
    expect(compile).toThrow(CodedError);
    expect(compile).toThrow(expect.objectContaining({ code: 'AMP_FEED_LEVEL' }));
  });
});
