import { type Instant, later, MINUTE, SECOND } from '../units/index.ts';
import { createChance } from './chance.ts';
import { createAfflictions } from './faults/afflictions.ts';
import type { Fault } from './faults/fault.ts';
import { type Outgoing, type Sense, topicWriters } from './feed-writer.ts';
import type { Habits } from './habits.ts';
import { createLostReports } from './lost-reports.ts';
import { createMeters } from './meters.ts';
import { createHouse, type House } from './physics.ts';
import { createProbes } from './probes.ts';
import type { HouseSpec } from './spec.ts';
import type { WrittenFeed } from './written-feed.ts';

/** How finely the physics is stepped. */
const STEP = 30 * SECOND;
/** … while a relay flutters: at every other step, on the average. */
const FLUTTER_STEP = 10 * SECOND;
/** Of the mains. */
const NOMINAL_VOLTS = 120;

export interface Simulator {
  readonly house: House;
  /**
   * Moves the house on to `until` and gives what its plugs and probes send meanwhile, in order.
   * `interval` is how often they speak when nothing changes, ms.
   */
  advance(until: Instant, interval: number): Outgoing[];
  /**
   * Lets a fault strike, from its `from` on.
   * @throws CodedError AMP_DEMO_FAULT when the house does not have what it strikes.
   */
  strike(fault: Fault): void;
  /** Ends this very fault now; one that is over, or never struck, is let be. */
  mend(fault: Fault): void;
}

export interface SimulatorOptions {
  readonly seed: number;
  readonly start: Instant;
  readonly faults?: readonly Fault[];
  /** Blinks of the mains that make forgetful plugs forget, and nothing else. */
  readonly powerCuts?: readonly Instant[];
  /** How finely the physics is stepped at most, ms. */
  readonly stepMs?: number;
  readonly habits?: Partial<Habits>;
  /** °C outdoors; by default a course of its own. */
  readonly weather?: (at: Instant) => number;
  /** Told when a keeper begins to change the water of a tank. */
  readonly tended?: (tank: string, at: Instant) => void;
}

export function createSimulator(
  spec: HouseSpec,
  feeds: readonly WrittenFeed[],
  options: SimulatorOptions,
): Simulator {
  const { start, habits = {}, stepMs = STEP } = options;
  const chance = createChance(options.seed);
  const afflictions = createAfflictions(spec, options.faults ?? []);
  const { weather, tended } = options;
  const house = createHouse(spec, { start, chance, afflictions, habits, weather, tended });
  const meters = createMeters(spec, house, {
    afflictions,
    powerCuts: options.powerCuts ?? [],
    startWh: (plug) => chance.next() * (plug.wrapsAtWh ?? 90_000),
    lostReports: habits.lostReports
      ? createLostReports(spec.plugs.length, start, chance.fork())
      : undefined,
  });
  const probes = createProbes(spec, house, {
    afflictions,
    chance,
    spikes: habits.probeSpikes === true,
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
    presence: '',
    spokeAt: Number.NaN,
  }));
  const voicesOf = (source: string) =>
    voices.filter(({ writer }) => writer.sources.includes(source));
  const plugVoices = new Map(spec.plugs.map(({ id }) => [id, voicesOf(`plug/${id}`)]));
  const probeVoices = spec.probes.map(({ id }) => ({
    list: voicesOf(`probe/${id}`),
    spokeAt: later(start, -chance.next() * 10 * MINUTE),
  }));

  const sense: Sense = (from, id, measure, canBreak) => {
    if (from === 'plug') {
      const plug = meters.plugs.get(id);
      if (plug === undefined) return undefined;
      if (measure === 'presence') return plug.online ? 1 : 0;
      if (measure === 'voltage') return NOMINAL_VOLTS * house.mains;
      return measure === 'power' ? plug.watts : plug.counterWh;
    }
    if (measure === 'temperature') return probes.temperature(id, canBreak);
    if (measure === 'presence') return probes.isHeard(id) ? 1 : 0;
    return measure === 'humidity' ? probes.humidity(id) : undefined;
  };

  function send(list: typeof voices, sent: Outgoing[]): void {
    const { at } = house;
    for (const voice of list) {
      if (voice.spokeAt === at) continue;
      const { writer, plugs } = voice;
      // What shares a message with a plug goes off the air with it.
      if (!writer.presenceOnly && !plugs.every(({ online }) => online)) continue;
      voice.spokeAt = at;
      const message = writer.write(sense, at);
      if (message === undefined) continue;
      // Whether a plug is there is said when it changes, not with each report.
      if (writer.presenceOnly) {
        if (voice.presence === message.payload) continue;
        voice.presence = message.payload;
      }
      sent.push(message);
    }
  }

  function step(ms: number, interval: number, sent: Outgoing[]): void {
    house.step(ms);
    for (const { id } of meters.step(ms, interval)) send(plugVoices.get(id) ?? [], sent);
    for (const probe of probeVoices) {
      if (house.at - probe.spokeAt < interval) continue;
      probe.spokeAt = house.at;
      send(probe.list, sent);
    }
  }

  return {
    house,
    advance(until, interval) {
      const sent: Outgoing[] = [];
      while (house.at < until) {
        const most = afflictions.restless ? Math.min(stepMs, FLUTTER_STEP) : stepMs;
        step(Math.min(most, until - house.at), interval, sent);
      }
      return sent;
    },
    strike: afflictions.strike,
    mend: afflictions.mend,
  };
}
