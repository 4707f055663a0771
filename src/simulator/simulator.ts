import { type Instant, later, MINUTE, SECOND } from '../units/index.ts';
import { createChance } from './chance.ts';
import type { Fault } from './faults.ts';
import { type Outgoing, type Sense, topicWriters } from './feed-writer.ts';
import { createMeters } from './meters.ts';
import { createHouse, type House } from './physics.ts';
import type { HouseSpec } from './spec.ts';
import type { WrittenFeed } from './written-feed.ts';

/** How finely the physics is stepped. */
const STEP = 30 * SECOND;
/** Spread of a probe's noise and the step of its converter, K. */
const PROBE = { noise: 0.03, step: 0.0625 } as const;
/** Now and then a probe says by a value of its own that it has just been powered, or is off the wire. */
const BROKEN_CHANCE = 1 / 20_000;

export interface Simulator {
  readonly house: House;
  /**
   * Moves the house on to `until` and gives what its plugs and probes send meanwhile, in order.
   * `interval` is how often they speak when nothing changes, ms.
   */
  advance(until: Instant, interval: number): Outgoing[];
}

export function createSimulator(
  spec: HouseSpec,
  feeds: readonly WrittenFeed[],
  options: {
    seed: number;
    start: Instant;
    faults: readonly Fault[];
    powerCuts?: readonly Instant[];
  },
): Simulator {
  const chance = createChance(options.seed);
  const house = createHouse(spec, { start: options.start, chance, faults: options.faults });
  const meters = createMeters(spec, {
    faults: options.faults,
    powerCuts: options.powerCuts ?? [],
    startWh: (plug) => chance.next() * (plug.wrapsAtWh ?? 90_000),
  });
  const sources = [
    ...spec.plugs.map(({ id }) => `plug/${id}`),
    ...spec.probes.map(({ id }) => `probe/${id}`),
  ];
  const voices = topicWriters(feeds, sources).map((writer) => ({
    writer,
    plugs: spec.plugs.flatMap(({ id }) =>
      writer.sources.includes(`plug/${id}`) ? (meters.plugs.get(id) ?? []) : [],
    ),
  }));
  const voicesOf = (source: string) =>
    voices.filter(({ writer }) => writer.sources.includes(source));
  const plugVoices = new Map(spec.plugs.map(({ id }) => [id, voicesOf(`plug/${id}`)]));
  const probeVoices = new Map(spec.probes.map(({ id }) => [id, voicesOf(`probe/${id}`)]));
  const probeSpecs = new Map(spec.probes.map((probe) => [probe.id, probe]));
  const probedAt = new Map(
    spec.probes.map(({ id }) => [id, later(options.start, -chance.next() * 10 * MINUTE)]),
  );

  const presence = new Map<string, string>();

  function temperatureOf(id: string, canBreak: boolean): number | 'broken' | undefined {
    const probe = probeSpecs.get(id);
    if (probe === undefined) return undefined;
    if (canBreak && chance.next() < BROKEN_CHANCE) return 'broken';
    const truth =
      probe.tank === undefined
        ? house.rooms.get(probe.room ?? '')
        : house.tanks.get(probe.tank)?.temperature;
    if (truth === undefined) return undefined;
    return Math.round((truth + chance.normal() * PROBE.noise) / PROBE.step) * PROBE.step;
  }

  const sense: Sense = (from, id, measure, canBreak) => {
    if (from === 'plug') {
      const plug = meters.plugs.get(id);
      if (plug === undefined) return undefined;
      if (measure === 'presence') return plug.online ? 1 : 0;
      return measure === 'power' ? plug.watts : plug.counterWh;
    }
    if (measure === 'temperature') return temperatureOf(id, canBreak);
    if (measure === 'presence') return 1;
    if (measure === 'humidity') return 48 + 6 * Math.sin(house.at / 3.3e7) + chance.normal();
    return undefined;
  };

  function step(ms: number, interval: number, sent: Outgoing[]): void {
    house.step(ms);
    const written = new Set<string>();
    const send = (list: typeof voices): void => {
      for (const { writer, plugs } of list) {
        if (written.has(writer.topic)) continue;
        // What shares a message with a plug goes off the air with it.
        if (!writer.presenceOnly && !plugs.every(({ online }) => online)) continue;
        written.add(writer.topic);
        const message = writer.write(sense, house.at);
        if (message === undefined) continue;
        // Whether a plug is there is said when it changes, not with each report.
        if (writer.presenceOnly) {
          if (presence.get(writer.topic) === message.payload) continue;
          presence.set(writer.topic, message.payload);
        }
        sent.push(message);
      }
    };
    for (const { id } of meters.step(house, ms, interval)) send(plugVoices.get(id) ?? []);
    for (const [id, list] of probeVoices) {
      if (house.at - (probedAt.get(id) ?? 0) < interval) continue;
      probedAt.set(id, house.at);
      send(list);
    }
  }

  return {
    house,
    advance(until, interval) {
      const sent: Outgoing[] = [];
      while (house.at < until) step(Math.min(STEP, until - house.at), interval, sent);
      return sent;
    },
  };
}
