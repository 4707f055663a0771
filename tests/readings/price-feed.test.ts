import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { priceFeedsConfig } from '../../src/readings/config.ts';
import { compilePriceFeeds, type Message } from '../../src/readings/index.ts';
import type { SlotPrice } from '../../src/tariff/index.ts';
import { Calendar, type Instant, instant, type LocalDate } from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';

type FeedText = z.input<typeof priceFeedsConfig>[string];

const NOON = Date.parse('2026-01-14T12:07:00Z');

const book = (feed: FeedText, name = 'day-ahead') =>
  compilePriceFeeds(priceFeedsConfig.parse({ [name]: feed }));

const message = (payload: unknown, more: Partial<Message> = {}): Message => ({
  topic: 'market/prices',
  payload: Buffer.from(typeof payload === 'string' ? payload : JSON.stringify(payload)),
  retained: false,
  arrived: instant(NOON),
  ...more,
});

const iso = (at: Instant): string => new Date(at).toISOString().slice(0, 16);

/** Prices as 'from–to price per kWh', refusals as 'reason: found'. */
function decoded(feed: FeedText, payload: unknown, more: Partial<Message> = {}): string[] {
  const { prices, refusals } = book(feed).decode(message(payload, more));
  return [
    ...prices.map(({ from, to, price }) => `${iso(from)}–${iso(to).slice(11)} ${price / 1e6}`),
    ...refusals.map(({ reason, found }) => `${reason}: ${found}`),
  ];
}

const BARE: FeedText = { topic: 'market/prices', minutes: 15 };
const LIST: FeedText = {
  topic: 'market/prices',
  list: '/data',
  start: '/from',
  end: '/to',
  price: '/value',
  unit: 'per-mwh',
};
const HOURS: FeedText = { ...LIST, end: undefined, minutes: 60 };

describe('a single price', () => {
  it('is that of the slot under way', () => {
    expect(decoded(BARE, '0.285')).toEqual(['2026-01-14T12:00–12:15 0.285']);
    expect(decoded({ ...BARE, minutes: 60 }, '-0.02')).toEqual(['2026-01-14T12:00–13:00 -0.02']);
  });

  it('may stand somewhere in JSON, as a text, in any unit', () => {
    const feed: FeedText = { ...BARE, price: '/now/price', unit: 'cents-per-kwh' };
    expect(decoded(feed, { now: { price: '12.5' } })).toEqual(['2026-01-14T12:00–12:15 0.125']);
    expect(decoded({ ...feed, unit: 'per-mwh' }, { now: { price: 80.5 } })).toEqual([
      '2026-01-14T12:00–12:15 0.0805',
    ]);
  });

  it('of nothing is plainly zero', () => {
    expect(book(BARE).decode(message('-0')).prices[0]?.price).toBe(0);
  });

  it('from before is stale: nobody knows for which slot it was', () => {
    expect(decoded(BARE, '0.285', { retained: true })).toEqual(['stale-retained: 0.285']);
  });

  it('with a start of its own may be retained', () => {
    const feed: FeedText = { topic: 'market/prices', start: '/from', price: '/value', minutes: 60 };
    const payload = { from: '2026-01-14T10:00:00Z', value: 0.3 };
    expect(decoded(feed, payload, { retained: true })).toEqual(['2026-01-14T10:00–11:00 0.3']);
  });

  it('belongs to the series that the feed names, or to its own', () => {
    const seriesOf = (feed: FeedText) => book(feed).decode(message('1')).prices[0]?.series;
    expect(seriesOf(BARE)).toBe('day-ahead');
    expect(seriesOf({ ...BARE, series: 'spot' })).toBe('spot');
  });

  it('is what the tariff room calls the price of a slot', () => {
    const prices: readonly SlotPrice[] = book(BARE).decode(message('1')).prices;
    expect(prices).toHaveLength(1);
  });
});

describe('a list of prices', () => {
  const entry = (from: string, to: string, value: unknown) => ({ from, to, value });

  it('is read by its own starts and ends, also when it was retained', () => {
    const data = [
      entry('2026-01-15T00:00:00+01:00', '2026-01-15T01:00:00+01:00', 81.2),
      entry('2026-01-15T01:00:00+01:00', '2026-01-15T01:15:00+01:00', -4),
    ];
    const expected = ['2026-01-14T23:00–00:00 0.0812', '2026-01-15T00:00–00:15 -0.004'];
    expect(decoded(LIST, { data })).toEqual(expected);
    expect(decoded(LIST, { data }, { retained: true })).toEqual(expected);
  });

  it('may be of pairs, in seconds or milliseconds', () => {
    const feed: FeedText = { ...HOURS, list: '', start: '/0', price: '/1' };
    const from = Date.parse('2026-01-15T00:00:00Z');
    expect(decoded({ ...feed, time: { format: 'epoch-ms' } }, [[from, 50]])).toEqual([
      '2026-01-15T00:00–01:00 0.05',
    ]);
    expect(
      decoded({ ...feed, time: { format: 'epoch-s' } }, [[String(from / 1000), '50']]),
    ).toEqual(['2026-01-15T00:00–01:00 0.05']);
  });

  it('comes out by time, whatever its order', () => {
    const data = ['03', '01', '02'].map((hour) =>
      entry(`2026-01-15T${hour}:00:00Z`, '', Number(hour)),
    );
    expect(decoded(HOURS, { data }).map((line) => line.slice(11, 13))).toEqual(['01', '02', '03']);
  });

  it('loses only the entries that are wrong, and tells each with what stood there', () => {
    const data = [
      entry('2026-01-15T00:00:00Z', '', 1000),
      entry('2026-01-15T01:00:00Z', '', null),
      entry('2026-01-15T02:00:00Z', '', 'n/a'),
      entry('2026-01-15T03:00:00Z', '', 'unavailable'),
      entry('soon', '', 5),
      entry('2026-01-15T04:05:00Z', '', 5),
      entry('2026-03-15T04:00:00Z', '', 5),
      entry('1970-01-01T00:00:00Z', '', 5),
      entry('2026-01-15T05:00:00Z', '', 2e8),
      entry('2026-01-15T06:00:00Z', '', 'HUGE'),
      { from: '2026-01-15T07:00:00Z' },
      7,
    ];
    const text = JSON.stringify({ data }).replace('"HUGE"', '1e999');
    expect(decoded(HOURS, text)).toEqual([
      '2026-01-15T00:00–01:00 1',
      'no-value: null',
      'not-a-number: n/a',
      'no-value: unavailable',
      'bad-time: soon',
      'bad-span: 2026-01-15T04:05:00Z',
      'from-the-future: 2026-03-15T04:00:00Z',
      'bad-time: 1970-01-01T00:00:00Z',
      'implausible: 200000000',
      'not-a-number: Infinity',
      'nothing-there: an object with from',
      'nothing-there: 7',
    ]);
  });

  it('may say a price twice, but of two prices for one time the first stays', () => {
    const data = [5, 5, 6].map((value) => entry('2026-01-15T00:00:00Z', '', value));
    expect(decoded(HOURS, { data })).toEqual([
      '2026-01-15T00:00–01:00 0.005',
      'contradicted: 0.006 from 2026-01-15T00:00:00.000Z to 2026-01-15T01:00:00.000Z',
    ]);
  });

  it('whose entries end before they begin, or last longer than a day, is refused', () => {
    const data = [
      entry('2026-01-15T01:00:00Z', '2026-01-15T01:00:00Z', 5),
      entry('2026-01-15T01:00:00Z', '2026-01-15T00:00:00Z', 5),
      entry('2026-01-15T01:00:00Z', '2026-01-17T01:00:00Z', 5),
    ];
    expect(decoded(LIST, { data }).map((line) => line.split(':')[0])).toEqual([
      'bad-span',
      'bad-span',
      'bad-span',
    ]);
  });

  it('of more than a thousand, or none at all, is refused as a whole', () => {
    const many = Array.from({ length: 1001 }, () => entry('2026-01-15T01:00:00Z', '', 5));
    expect(decoded(HOURS, { data: many })).toEqual(['too-many: a list of 1001']);
    expect(decoded(HOURS, { data: { a: 1 } })).toEqual(['not-a-list: an object with a']);
    expect(decoded(HOURS, { data: null })).toEqual(['no-value: null']);
    expect(decoded(HOURS, { other: 1 })).toEqual(['nothing-there: an object with other']);
    expect(decoded(HOURS, 'offline')).toEqual(['not-json: offline']);
    expect(decoded(HOURS, 'unavailable')).toEqual(['no-value: unavailable']);
    expect(decoded(HOURS, ' '.repeat(300_000))).toEqual(['too-large: 300000 bytes']);
    expect(decoded(HOURS, { data: [] })).toEqual([]);
  });
});

describe('a list in local time', () => {
  const berlin = new Calendar('Europe/Berlin');
  const feed: FeedText = { ...LIST, time: { zone: 'Europe/Berlin' } };

  /** The hours of a local day as the market writes them: '02:00' to '03:00', twice in October. */
  function localDay(date: string, end: (from: number) => number) {
    const { from, to } = berlin.dayOf(date as LocalDate);
    const wall = (at: number): string => {
      const local = berlin.local(at as Instant);
      return `${local.date} ${String(local.minute / 60).padStart(2, '0')}:00`;
    };
    const data = [];
    for (let at: number = from; at < to; at += 3_600_000) {
      data.push({ from: wall(at), to: wall(end(at)), value: (at - from) / 3600 });
    }
    return { data, from };
  }

  it.each([
    ['2024-03-31', 23],
    ['2024-10-27', 25],
    ['2024-07-18', 24],
  ])('%s has %d prices', (date, hours) => {
    const { data, from } = localDay(date, (at) => at + 3_600_000);
    for (const given of [feed, { ...feed, end: undefined, minutes: 60 as const }]) {
      const arrived = instant(from - 11 * 3_600_000);
      const { prices, refusals } = book(given).decode(message({ data }, { arrived }));
      expect(refusals).toEqual([]);
      expect(prices).toHaveLength(hours);
      expect(prices.every((slot, index) => slot.from === from + index * 3_600_000)).toBe(true);
      expect(prices.every((slot) => slot.to - slot.from === 3_600_000)).toBe(true);
      expect(prices.map(({ price }) => price / 1e6)).toEqual(prices.map((_, index) => index));
    }
  });

  it('may end its entries by the clock before the change', () => {
    const { data } = localDay('2024-10-27', (at) => at + 3_600_000);
    const ends = data.map((row) => ({
      ...row,
      to: row.from.replace(
        /(\d\d):00$/,
        (_, hour) => `${String(Number(hour) + 1).padStart(2, '0')}:00`,
      ),
    }));
    const arrived = instant(Date.parse('2024-10-26T12:00Z'));
    const { prices } = book(feed).decode(message({ data: ends.slice(0, -1) }, { arrived }));
    expect(prices).toHaveLength(24);
    expect(prices.every((slot) => slot.to - slot.from === 3_600_000)).toBe(true);
  });
});

describe('a published year of prices', () => {
  it('comes over the broker day by day as it stands in the file', () => {
    // Bundesnetzagentur | SMARD.de, CC BY 4.0: see reference/tariff/SOURCE.md.
    const file = new URL(
      '../reference/tariff/smard_de_lu_day_ahead_2024_hourly.csv',
      import.meta.url,
    );
    const rows = readFileSync(file, 'utf8')
      .split('\n')
      .filter((line) => /^\d/.test(line))
      .map((line) => line.trim().split(',') as [string, string]);
    const prices = [];
    for (let first = 0; first < rows.length; first += 24) {
      const data = rows.slice(first, first + 24).map(([from, value]) => ({
        from: `${from.slice(0, 13)}:00Z`,
        value: Number(value),
      }));
      const arrived = instant(Date.parse(data[0]?.from ?? '') - 11 * 3_600_000);
      const found = book(HOURS).decode(message({ data }, { arrived }));
      expect(found.refusals).toEqual([]);
      prices.push(...found.prices);
    }
    expect(prices).toHaveLength(8760);
    expect(prices.filter(({ price }) => price < 0)).toHaveLength(457);
    const mean = prices.reduce((sum, { price }) => sum + price, 0) / prices.length / 1000;
    expect(mean).toBeCloseTo(78.56274, 5);
  });
});

describe('all price feeds together', () => {
  const both = compilePriceFeeds(
    priceFeedsConfig.parse({
      here: { ...BARE, topic: 'market/here/price' },
      everywhere: { ...BARE, topic: 'market/+/price' },
      list: { ...LIST, topic: 'market/list' },
    }),
  );

  it('subscribe to no topic twice', () => {
    expect([...both.filters].sort()).toEqual(['market/+/price', 'market/list']);
  });

  it('claim their topics and no others', () => {
    const topics = ['market/here/price', 'market/there/price', 'market/list', 'market', 'plugs/a'];
    expect(topics.filter((topic) => both.claims(topic))).toEqual(topics.slice(0, 3));
    expect(compilePriceFeeds({}).claims('market/list')).toBe(false);
  });

  it('each take what is theirs', () => {
    const series = (topic: string) =>
      both.decode(message('1', { topic })).prices.map((price) => price.series);
    expect(series('market/here/price')).toEqual(['here', 'everywhere']);
    expect(series('market/there/price')).toEqual(['everywhere']);
    const { prices, refusals } = both.decode(message('1', { topic: 'plugs/a' }));
    expect([prices, refusals.map(({ reason }) => reason)]).toEqual([[], ['unclaimed-topic']]);
  });

  it('never throw, and take only whole slots at prices that can be', () => {
    const scalar = fc.oneof(
      fc.double(),
      fc.string(),
      fc.constantFrom('5', '', null, true, [], {}, '2026-01-15 02:00', '2026-01-15T02:00:00Z', -0),
    );
    const entries = fc.oneof(
      scalar,
      fc.record({ from: scalar, to: scalar, value: scalar }, { requiredKeys: [] }),
    );
    const payloads = fc.oneof(
      fc.uint8Array({ maxLength: 40 }),
      fc.json().map((text) => Buffer.from(text)),
      fc.array(entries).map((data) => Buffer.from(JSON.stringify({ data }))),
    );
    const topics = fc.constantFrom('market/here/price', 'market/list', '', '$SYS', 'market/#');
    fc.assert(
      fc.property(topics, payloads, fc.boolean(), (topic, payload, retained) => {
        const { prices, refusals } = both.decode({
          topic,
          payload,
          retained,
          arrived: instant(NOON),
        });
        for (const { from, to, price } of prices) {
          expect(from % 900_000 === 0 && to % 900_000 === 0 && to > from).toBe(true);
          expect(Number.isSafeInteger(price) && !Object.is(price, -0)).toBe(true);
        }
        for (const { found, feed, topic: of } of refusals) {
          expect(found.length).toBeLessThanOrEqual(120);
          expect(feed === undefined || both.claims(of)).toBe(true);
        }
      }),
      runs(),
    );
  });
});

describe('a price feed in the configuration', () => {
  const told = (feed: Record<string, unknown>): string[] => {
    const { error } = priceFeedsConfig.safeParse({ spot: { topic: 'market/prices', ...feed } });
    return (error?.issues ?? []).map(({ path }) => path.slice(1).join('.'));
  };

  it('needs what says when its prices hold, and says it once', () => {
    expect(told({ minutes: 15 })).toEqual([]);
    expect(told({})).toEqual(['minutes']);
    expect(told({ minutes: 30 })).toEqual(['minutes']);
    expect(told({ minutes: 15, start: '/s', price: '/p' })).toEqual([]);
    expect(told({ start: '/s', end: '/e', price: '/p' })).toEqual([]);
    expect(told({ minutes: 15, start: '/s', end: '/e', price: '/p' })).toEqual(['minutes']);
    expect(told({ end: '/e', price: '/p' })).toEqual(['end']);
    expect(told({ minutes: 15, start: '/s' })).toEqual(['start']);
    expect(told({ minutes: 15, list: '/l', price: '/p' })).toEqual(['list']);
  });

  it('has a topic that a broker takes, without named levels', () => {
    expect(told({ minutes: 15, topic: 'a/{plug}/b' })).toEqual(['topic']);
    expect(told({ minutes: 15, topic: 'a/#/b' })).toEqual(['topic']);
    expect(told({ minutes: 15, topic: '$share/x/a' })).toEqual(['topic']);
    expect(told({ minutes: 15, time: { zone: 'Nowhere' } })).toEqual(['time.zone']);
    expect(told({ minutes: 15, prise: '/p' })).toEqual(['']);
  });

  it('exports as JSON Schema', () => {
    expect(JSON.stringify(z.toJSONSchema(priceFeedsConfig, { io: 'input' }))).toContain(
      'cents-per-kwh',
    );
  });
});
