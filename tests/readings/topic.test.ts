import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { compileTopic, fewestFilters } from '../../src/readings/topic.ts';

const matches = (filter: string, topic: string) => compileTopic(filter).match(topic) !== undefined;

describe('a topic filter', () => {
  // OASIS MQTT Version 5.0, sections 4.7.1.2, 4.7.1.3 and 4.7.2, the examples given there.
  it.each([
    ['sport/tennis/player1/#', 'sport/tennis/player1', true],
    ['sport/tennis/player1/#', 'sport/tennis/player1/ranking', true],
    ['sport/tennis/player1/#', 'sport/tennis/player1/score/wimbledon', true],
    ['sport/#', 'sport', true],
    ['sport/tennis/+', 'sport/tennis/player1', true],
    ['sport/tennis/+', 'sport/tennis/player2', true],
    ['sport/tennis/+', 'sport/tennis/player1/ranking', false],
    ['sport/+', 'sport', false],
    ['sport/+', 'sport/', true],
    ['+/+', '/finance', true],
    ['/+', '/finance', true],
    ['+', '/finance', false],
    ['#', '$SYS/broker', false],
    ['+/monitor/Clients', '$SYS/monitor/Clients', false],
    ['$SYS/#', '$SYS/broker', true],
    ['$SYS/monitor/+', '$SYS/monitor/Clients', true],
  ])('%s on %s: %s, as MQTT 5 section 4.7 says', (filter, topic, expected) => {
    expect(matches(filter, topic)).toBe(expected);
  });

  it('gives its named levels their text and subscribes to any', () => {
    const topic = compileTopic('house/{place}/+/{plug}');
    expect(topic.filter).toBe('house/+/+/+');
    expect(topic.names).toEqual(['place', 'plug']);
    expect([...(topic.match('house/cellar/x/lamp') ?? [])]).toEqual([
      ['place', 'cellar'],
      ['plug', 'lamp'],
    ]);
  });
});

const word = fc.constantFrom('a', 'b', '', '$c');
const filters = fc
  .tuple(fc.array(fc.oneof(word, fc.constant('+')), { minLength: 1, maxLength: 3 }), fc.boolean())
  .map(([levels, rest]) => [...levels, ...(rest ? ['#'] : [])].join('/'));
const topics = fc.array(word, { minLength: 1, maxLength: 4 }).map((levels) => levels.join('/'));

describe('the fewest filters', () => {
  it('leave out what another covers', () => {
    expect(fewestFilters(['a/+', 'a/b', 'a/+', 'c/#', 'c', 'c/+/d', 'b/+'])).toEqual([
      'a/+',
      'c/#',
      'b/+',
    ]);
    expect(fewestFilters(['#', '$SYS/a', 'a/b'])).toEqual(['#', '$SYS/a']);
  });

  it('bring the same topics as all of them', () => {
    fc.assert(
      fc.property(fc.array(filters, { maxLength: 5 }), topics, (all, topic) => {
        const some = fewestFilters(all);
        expect(some.some((filter) => matches(filter, topic))).toBe(
          all.some((filter) => matches(filter, topic)),
        );
      }),
      { numRuns: 2000 },
    );
  });
});
