import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Guess, sketchFeeds } from '../../src/readings/index.ts';
import { readingLine } from './case.ts';
import { adopted, guessed, sent } from './listening.ts';

/** A thorough look wants thousands. */
const { AMPULLA_SKETCH_RUNS: runs = '60' } = process.env;

/** Sure enough for a sketch, on a topic that a filter can spell. */
const isTaken = ({ is, confidence, topic }: Guess): boolean =>
  confidence !== 'maybe' && !['unclear', 'not-billed'].includes(is) && !/[{}]|^\$/.test(topic);

describe('a sketch of feeds', () => {
  const state = (topic: string, power: number, total: number, second: number) =>
    sent(
      topic,
      { time: '2026-01-14T12:00:00', meter: { power, total, today: 1.5, volts: 230 } },
      second,
    );

  it('puts topics that differ in one level into one feed, and reads what was heard', () => {
    const messages = [0, 60, 120].flatMap((second) => [
      state('fishroom/discus-heater/state', 300, 412 + second / 12_000, second),
      state('fishroom/Sump Pump/state', 22, 9 + second / 160_000, second),
      sent('fishroom/air/cellar', { temperature: 18.5, humidity: 61 }, second),
    ]);
    const yaml = sketchFeeds(guessed(messages));
    const { feeds, plugs, probes, book } = adopted(yaml);
    expect(feeds).toMatchObject({
      'fishroom-state': { topic: 'fishroom/{plug}/state', names: { 'Sump Pump': 'sump-pump' } },
      'fishroom-air-cellar': { topic: 'fishroom/air/cellar' },
    });
    expect(Object.keys(plugs)).toEqual(['discus-heater', 'sump-pump']);
    expect(Object.keys(probes)).toEqual(['cellar']);
    const lines = messages.slice(-3).flatMap((one) => book.decode(one).readings.map(readingLine));
    expect(lines).toEqual([
      'plug/discus-heater power 300',
      'plug/discus-heater counter 412010',
      'plug/discus-heater voltage 230',
      'plug/sump-pump power 22',
      'plug/sump-pump counter 9000.75',
      'plug/sump-pump voltage 230',
      'probe/cellar temperature 18.5',
      'probe/cellar humidity 61',
    ]);
    expect(messages.flatMap((one) => book.decode(one).refusals)).toEqual([]);
    expect(yaml).toContain('/meter/today and 1 more like it: another counter, starts again');
  });

  it('takes a voltage only from a plug that is metered, beside its power or on a sister topic', () => {
    const messages = [0, 60, 120].flatMap((second) => [
      sent('den/moss-lamp/power', '30.5', second),
      sent('den/moss-lamp/voltage', '118', second),
      sent('den/rack', { volts: 119, sockets: [{ power: 20 }, { power: 40 }] }, second),
      sent('cellar/inlet/voltage', '121', second),
    ]);
    const yaml = sketchFeeds(guessed(messages));
    const { plugs, book } = adopted(yaml);
    expect(Object.keys(plugs)).toEqual(['moss-lamp', 'rack-1', 'rack-2']);
    const lines = messages.slice(-4).flatMap((one) => book.decode(one).readings.map(readingLine));
    expect(lines).toEqual([
      'plug/moss-lamp power 30.5',
      'plug/moss-lamp voltage 118',
      'plug/rack-1 power 20',
      'plug/rack-2 power 40',
    ]);
    expect(yaml).toContain("cellar/inlet/voltage: another voltage (named 'voltage'");
  });

  it.each(['report', 'state', 'online', 'message'])(
    'names a lone plug by its own level, not by a last one like %s',
    (last) => {
      const { plugs } = adopted(
        sketchFeeds(guessed([0, 60].map((at) => state(`den/moss-lamp/${last}`, 30, 12 + at, at)))),
      );
      expect(Object.keys(plugs)).toEqual(['moss-lamp']);
    },
  );

  it('gives every socket of a strip and every sensor of a board an id of its own', () => {
    const messages = [0, 60].map((second) =>
      sent(
        'strips/rack/now',
        {
          sockets: [
            { power: 14, energy_wh: 100 + second },
            { power: 60, energy_wh: 900 + second },
          ],
          water_temp: 24.5,
          air_temp: 21,
        },
        second,
      ),
    );
    const { book } = adopted(sketchFeeds(guessed(messages)));
    expect(messages.slice(-1).flatMap((one) => book.decode(one).readings.map(readingLine))).toEqual(
      [
        'plug/rack-1 power 14',
        'plug/rack-2 power 60',
        'plug/rack-1 counter 160',
        'plug/rack-2 counter 960',
        'probe/rack-water temperature 24.5',
        'probe/rack-air temperature 21',
      ],
    );
  });

  it('keeps numbered sockets of several strips apart', () => {
    const messages = ['a', 'b'].flatMap((strip) =>
      ['0', '1'].map((socket) => sent(`strips/${strip}/${socket}/power`, '5')),
    );
    const { book } = adopted(sketchFeeds(guessed(messages)));
    const ids = messages.flatMap((one) => book.decode(one).readings.map(({ id }) => id));
    expect(new Set(ids).size).toBe(4);
  });

  it('joins power and counter of a plug that come on topics of their own', () => {
    const messages = [0, 60].flatMap((second) =>
      ['lamp', 'pump'].flatMap((plug) => [
        sent(`m/${plug}/power`, '12,5', second),
        sent(`m/${plug}/energy_kwh`, `${1 + second / 100}`, second),
        sent(`m/${plug}/here`, 'online', second),
      ]),
    );
    const { feeds, plugs, book } = adopted(sketchFeeds(guessed(messages)));
    expect(Object.keys(plugs)).toEqual(['lamp', 'pump']);
    expect(Object.values(feeds).map(({ topic }) => topic)).toEqual([
      'm/{plug}/power',
      'm/{plug}/energy_kwh',
      'm/{plug}/here',
    ]);
    expect(
      messages.slice(0, 3).flatMap((one) => book.decode(one).readings.map(readingLine)),
    ).toEqual(['plug/lamp power 12.5', 'plug/lamp counter 1000', 'plug/lamp presence 1']);
  });

  it('tells the meter of a counter that starts again each midnight', () => {
    const messages = [0, 60].map((second) =>
      sent('m/lamp/today_kwh', `${0.5 + second / 1000}`, second),
    );
    const { plugs } = adopted(sketchFeeds(guessed(messages)));
    expect(plugs).toMatchObject({ lamp: { counter_restarts: 'at-midnight' } });
  });

  it('writes down words for coming and going that are not the usual ones', () => {
    const messages = [sent('m/lamp/link', 'up'), sent('m/pump/link', 'down')];
    const { feeds, book } = adopted(sketchFeeds(guessed(messages)));
    expect(feeds).toMatchObject({
      'm-link': { values: [{ measure: 'presence', on: ['up'], off: ['down'] }] },
    });
    const heard = messages.flatMap((one) => book.decode(one).readings.map(readingLine));
    expect(heard).toEqual(['plug/lamp presence 1', 'plug/pump presence 0']);
  });

  it('writes down the values of a broken sensor', () => {
    const messages = [85, 24.9, 25].map((value, index) => sent('w/discus/temp', `${value}`, index));
    const { feeds } = adopted(sketchFeeds(guessed(messages)));
    expect(Object.values(feeds)[0]?.values[0]).toMatchObject({ sentinels: [85] });
  });

  it('leaves out what a feed reads already, and names that are taken', () => {
    const book = { feedsOf: (topic: string) => (topic.startsWith('old/') ? ['plugs'] : []) };
    const messages = [
      sent('old/lamp/power', '5'),
      sent('m/lamp/power', '5'),
      sent('m/pump/power', '6'),
    ];
    const yaml = sketchFeeds(guessed(messages, { book }), { feeds: ['m-power'], plugs: ['lamp'] });
    const { feeds, plugs } = adopted(yaml);
    expect(Object.keys(feeds)).toEqual(['m-power-2']);
    expect(Object.keys(plugs)).toEqual(['pump']);
    expect(yaml).not.toContain('old/');
  });

  it.each([
    ['m/air-pump/power', 'air-pump'],
    ['cellar/air/temperature', 'cellar'],
    ['house/discus/water/temp', 'discus'],
    ['plugs/Lamp 3/status/power', 'lamp-3'],
    ['relay/7/power', 'relay-7'],
    ['power', 'power'],
  ])('names the only source of %s %s', (topic, id) => {
    const { plugs, probes } = adopted(sketchFeeds(guessed([sent(topic, '21.5')])));
    expect([...Object.keys(plugs), ...Object.keys(probes)]).toEqual([id]);
  });

  it('puts new probes into the room it is given', () => {
    const guesses = guessed([sent('w/discus/temp', '28.1'), sent('w/moss/temp', '22.1')]);
    const { probes } = adopted(sketchFeeds(guesses, { room: 'cellar', probes: ['moss'] }));
    expect(probes).toEqual({ discus: { room: 'cellar' } });
    expect(adopted(sketchFeeds(guesses)).probes).toEqual({ discus: {}, moss: {} });
  });

  it('says so when there is nothing to read', () => {
    const yaml = sketchFeeds(guessed([sent('m/x/mode', 'auto'), sent('m/x/rssi', '-60')]));
    expect(adopted(yaml).feeds).toEqual({});
    expect(yaml).toContain('Nothing was found');
    expect(sketchFeeds([])).toContain('Nothing was found');
  });

  it('is accepted by the config whatever the broker carries, and reads every source by one id', () => {
    const level = fc.oneof(
      fc.constantFrom(
        'power',
        'energy',
        'temp',
        'tank 1',
        'Tank_1',
        'tank-1',
        '1',
        '',
        'on',
        '{x}',
      ),
      fc.string({ unit: 'binary', maxLength: 8 }).filter((text) => !/[+#/\0]/.test(text)),
    );
    const key = fc.oneof(
      fc.constantFrom(
        'power',
        'total',
        'today',
        'temp',
        'air_temp',
        'humidity',
        '0',
        '1',
        'a/b',
        '~',
      ),
      fc.string({ unit: 'binary', maxLength: 5 }),
    );
    const number = fc.constantFrom(0, 0.5, 21.5, 22, 60, 85, '7,5', '12');
    const payload = fc.oneof(
      number,
      fc.constantFrom('online', 'offline'),
      fc.dictionary(key, fc.oneof(number, fc.array(fc.dictionary(key, number), { maxLength: 3 }))),
    );
    const topic = fc
      .array(level, { minLength: 1, maxLength: 4 })
      .map((levels) => levels.join('/'))
      .filter((text) => text !== '');
    fc.assert(
      fc.property(fc.array(fc.tuple(topic, payload), { maxLength: 12 }), (heard) => {
        const messages = heard.map(([on, what], index) => sent(on, what, index * 10));
        const guesses = guessed(messages);
        const { book } = adopted(sketchFeeds(guesses));
        const taken = new Set(guesses.filter(isTaken).map((one) => one.topic));
        const owners = new Map<string, string>();
        for (const message of messages) {
          const { readings, refusals } = book.decode(message);
          const known = refusals.filter(({ source }) => source !== undefined);
          if (taken.has(message.topic)) expect(readings.length + known.length).toBeGreaterThan(0);
          const sources = readings.map(({ from, id, measure }) => `${from} ${id} ${measure}`);
          expect(new Set(sources).size).toBe(sources.length);
          for (const source of sources) {
            expect(owners.get(source) ?? message.topic).toBe(message.topic);
            owners.set(source, message.topic);
          }
        }
      }),
      { numRuns: Number(runs) },
    );
  });
});
