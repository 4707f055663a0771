import { describe, expect, it } from 'vitest';
import { compileFeeds } from '../../src/readings/index.ts';
import { createSimulator, type Fault, type Outgoing } from '../../src/simulator/index.ts';
import { DAY, HOUR, instant, later, MINUTE, type Millis } from '../../src/units/index.ts';
import { fishRoom, START } from './houses.ts';

const { config, spec } = fishRoom();
const FEEDS = Object.values(config.feeds);
const INTERVAL = (10 * MINUTE) as Millis;

interface Sent extends Outgoing {
  readonly until: number;
}

/** What the fish room sends, in spans of half an hour. */
function play(hours: number, options: { seed?: number; faults?: readonly Fault[] } = {}): Sent[] {
  const { seed = 7, faults = [] } = options;
  const simulator = createSimulator(spec, FEEDS, { seed, start: START, faults });
  const sent: Sent[] = [];
  for (
    let at = later(START, 30 * MINUTE);
    at <= later(START, hours * HOUR);
    at = later(at, 30 * MINUTE)
  ) {
    for (const message of simulator.advance(at, INTERVAL)) sent.push({ ...message, until: at });
  }
  return sent;
}

const book = compileFeeds(config.feeds, {
  plugs: Object.keys(config.plugs),
  probes: Object.keys(config.probes),
});
const decode = ({ topic, payload, until }: Sent) =>
  book.decode({
    topic,
    payload: new TextEncoder().encode(payload),
    retained: false,
    arrived: instant(until),
  });

describe('the simulated fish room', () => {
  it('is the same house for the same seed, and another for another', () => {
    expect(play(6)).toEqual(play(6));
    expect(play(6, { seed: 8 })).not.toEqual(play(6));
  });

  it('sends nothing that not exactly one feed claims, and nothing that is refused', () => {
    const sent = play(48);
    const topics = new Set(sent.map(({ topic }) => topic));
    for (const topic of topics) expect(book.feedsOf(topic), topic).toHaveLength(1);
    const reasons = new Map<string, number>();
    for (const message of sent) {
      for (const { reason } of decode(message).refusals) {
        reasons.set(reason, (reasons.get(reason) ?? 0) + 1);
      }
    }
    // A probe that says by a value of its own that it is broken is refused on purpose.
    reasons.delete('sentinel');
    expect([...reasons]).toEqual([]);
  });

  it('lets every plug and probe of the config be heard, in everything that it measures', () => {
    const heard = new Set<string>();
    for (const message of play(2)) {
      for (const { from, id, measure } of decode(message).readings) {
        heard.add(`${from}/${id}/${measure}`);
      }
    }
    for (const id of Object.keys(config.plugs)) expect(heard).toContain(`plug/${id}/power`);
    for (const id of Object.keys(config.probes)) expect(heard).toContain(`probe/${id}/temperature`);
    const counted = Object.keys(config.plugs).filter((id) => !id.startsWith('clamp-'));
    for (const id of counted) expect(heard).toContain(`plug/${id}/counter`);
    for (const n of [1, 2, 3, 4, 5, 6]) expect(heard).toContain(`plug/rack-${n}/presence`);
    expect(heard).toContain('probe/study-air/humidity');
  });

  it('speaks several shapes: text with commas, bare numbers, nested JSON, a strip of sockets', () => {
    const of = (start: string): string =>
      play(1).find(({ topic }) => topic.startsWith(start))?.payload ?? '';
    expect(of('board/lines/')).toMatch(/"energy":"\d+,\d{3}"/);
    expect(of('racks/1/draw')).toMatch(/^\d+(\.\d)?$/);
    expect(JSON.parse(of('fish/wall/01/report'))).toMatchObject({
      meter: { sum_kwh: expect.any(Number) },
    });
    expect(JSON.parse(of('strips/bench'))).toMatchObject({
      sockets: Array.from({ length: 4 }, () => ({ ws: expect.any(Number) })),
    });
    expect(Number(of('clamps/3/watts'))).toBeLessThan(0);
  });

  it('says on its availability topic that a plug has gone, falls silent, and comes back', () => {
    const from = later(START, 4 * HOUR);
    const until = later(START, 8 * HOUR);
    const sent = play(12, { faults: [{ kind: 'plug-offline', plug: 'wall-02', from, until }] });
    const own = sent.filter(({ topic }) => topic.startsWith('fish/wall/02/'));
    const alive = own.filter(({ topic }) => topic.endsWith('/alive'));
    expect(alive.map(({ payload }) => payload)).toEqual(['here', 'gone', 'here']);
    expect(alive.every(({ retain }) => retain)).toBe(true);
    const reports = own.filter(({ topic }) => topic.endsWith('/report'));
    const during = reports.filter(({ until: at }) => at > from && at < until);
    expect(during).toEqual([]);
    expect(reports.filter(({ until: at }) => at < from).length).toBeGreaterThan(10);
    expect(reports.filter(({ until: at }) => at > until).length).toBeGreaterThan(10);
  });

  it('loses with a socket of a strip the whole strip, as they share their messages', () => {
    const from = later(START, HOUR);
    const sent = play(4, { faults: [{ kind: 'plug-offline', plug: 'bench-3', from }] });
    const strip = sent.filter(({ topic }) => topic === 'strips/bench');
    expect(strip.filter(({ until }) => until <= from).length).toBeGreaterThan(4);
    expect(strip.filter(({ until }) => until > from)).toEqual([]);
  });

  it('says of a probe now and then that it is broken, in the words of its feed', () => {
    const month = later(START, 30 * DAY);
    const probesOnly = { ...spec, plugs: [] };
    const simulator = createSimulator(probesOnly, FEEDS, { seed: 7, start: START, faults: [] });
    const values = simulator
      .advance(month, INTERVAL)
      .filter(({ topic }) => topic.startsWith('water/'));
    const broken = values.filter(({ payload }) => Number(payload) === 85);
    expect(broken.length).toBeGreaterThan(0);
    expect(broken.length).toBeLessThan(values.length / 1000);
    expect(values.length).toBeGreaterThan((DAY / INTERVAL) * 30 * 10);
  });
});
