import type { Reading } from '../readings/index.ts';
import { type Instant, MINUTE, type Millis, median } from '../units/index.ts';
import { type Manner, type Patience, patienceWith } from './gaps.ts';
import {
  type HeaterSight,
  notePower,
  restoredHeater,
  type SavedHeaterSight,
} from './heater-sight.ts';
import type { Labels } from './label.ts';
import type { PlannedHeater, PlannedPlug, PlannedProbe, PlannedRoom, WatchPlan } from './plan.ts';
import {
  createProbeSight,
  noteTemperature,
  type ProbeSight,
  temperatureOf,
} from './probe-sight.ts';
import {
  createPlugSight,
  isNews,
  notePresence,
  noteVoice,
  noteVolts,
  type PlugSight,
  voltsNow,
} from './source-sight.ts';
import { restoredTrail } from './trail.ts';

/** A plug, what is known of it, and the heaters behind it. */
export interface WatchedPlug {
  readonly plan: PlannedPlug;
  readonly manner: Manner;
  sight: PlugSight;
  /** And chillers. */
  readonly heaters: readonly WatchedHeater[];
}

export interface WatchedProbe {
  readonly plan: PlannedProbe;
  readonly manner: Manner;
  /** What it measures cannot move faster by itself, K/h. */
  readonly fastest: number;
  sight: ProbeSight;
}

export interface WatchedHeater {
  readonly plan: PlannedHeater;
  readonly plug: string | undefined;
  sight: HeaterSight;
  /** The tank's temperature, °C, from the probes that speak. */
  readonly temperature: (at: Instant) => number | undefined;
}

/** What is known now about every source. Changes in place: it is told of every message. */
export interface Sights {
  readonly plan: WatchPlan;
  readonly plugs: ReadonlyMap<string, WatchedPlug>;
  readonly probes: ReadonlyMap<string, WatchedProbe>;
  /** And chillers: a thermostat switches both. */
  readonly heaters: ReadonlyMap<string, WatchedHeater>;
  /** What the looks are called; filled as they come. */
  readonly labels: Labels;
}

/** What is known of one source or heater, to be kept over a restart: plain JSON. */
export type SavedSight =
  | { readonly key: `plug:${string}`; readonly sight: PlugSight }
  | { readonly key: `probe:${string}`; readonly sight: ProbeSight }
  | { readonly key: `heater:${string}`; readonly sight: SavedHeaterSight };

/** A tank's trail reaches two hours back, whatever the room's does. */
const TANK_CELL = (2 * MINUTE) as Millis;
const CELLS_IN_USE = 60;
/** A room's reaches as far back as its air is looked at. */
const roomCell = (room: PlannedRoom | undefined): Millis =>
  Math.max(MINUTE, ((room?.config.room_cooling.within_min ?? 0) * MINUTE) / CELLS_IN_USE) as Millis;
/** A plug that is silent for longer may have missed something. */
const MAY_HAVE_MISSED = 15 * MINUTE;

/**
 * Starts with what was saved of sources that are still in the plan; the rest is dropped. Nothing
 * saved is changed.
 */
export function createSights(plan: WatchPlan, saved: Iterable<SavedSight> = []): Sights {
  const kept = new Map<string, SavedSight['sight']>();
  for (const { key, sight } of saved) kept.set(key, structuredCopy(sight));

  const probes = new Map<string, WatchedProbe>();
  for (const probe of plan.probes.values()) {
    const cell = probe.room === undefined ? TANK_CELL : roomCell(plan.rooms.get(probe.room));
    const fresh = createProbeSight(probe.id, cell);
    const before = kept.get(`probe:${probe.id}`) as ProbeSight | undefined;
    const sight = { ...fresh, ...before, inTouch: false, unsaved: false };
    probes.set(probe.id, {
      plan: probe,
      manner: 'mixed',
      fastest: fastestMove(plan, probe.tank),
      sight: {
        ...sight,
        trail: before?.trail.width === cell ? restoredTrail(before.trail) : fresh.trail,
      },
    });
  }

  const heaters = new Map<string, WatchedHeater>();
  for (const heater of [...plan.heaters.values(), ...plan.chillers.values()]) {
    const ofTank = (plan.tanks.get(heater.tank)?.probes ?? []).flatMap(
      (id) => probes.get(id) ?? [],
    );
    const before = kept.get(`heater:${heater.id}`) as SavedHeaterSight | undefined;
    heaters.set(heater.id, {
      plan: heater,
      plug: heater.plug,
      sight: restoredHeater(heater.id, before),
      temperature: (at) => middleTemperature(ofTank, at),
    });
  }

  const plugs = new Map<string, WatchedPlug>();
  for (const plug of plan.plugs.values()) {
    const before = kept.get(`plug:${plug.id}`) as PlugSight | undefined;
    plugs.set(plug.id, {
      plan: plug,
      manner: plug.reporting === 'interval' ? 'steady' : 'on-change',
      sight: { ...createPlugSight(plug.id), ...before, inTouch: false, unsaved: false },
      heaters: [...plug.heaters, ...plug.chillers].flatMap((id) => heaters.get(id) ?? []),
    });
  }
  return { plan, labels: new Map(), plugs, probes, heaters };
}

/** Twice what all heaters together could do, and what no water does by itself. Estimates. */
const FASTEST_LEAST = 6;
const FASTEST_TIMES = 2;

/** Air moves as fast as it likes, and so may a tank whose size is not told. */
function fastestMove(plan: WatchPlan, id: string | undefined): number {
  const tank = id === undefined ? undefined : plan.tanks.get(id);
  if (tank?.prior === undefined) return Number.POSITIVE_INFINITY;
  const watts = tank.heaters.reduce((sum, it) => sum + (plan.heaters.get(it)?.nameplate ?? 0), 0);
  return Math.max(FASTEST_LEAST, (FASTEST_TIMES * watts * 3600) / tank.prior.storeJPerK);
}

const structuredCopy = <T>(value: T): T => JSON.parse(JSON.stringify(value)) as T;

/** Patience with a plug or probe as of now. */
export function patienceOf(source: WatchedPlug | WatchedProbe, now: Instant): Patience {
  return patienceWith(
    source.sight.gaps,
    source.manner,
    source.plan.usualInterval,
    source.plan.config.silence,
    now,
  );
}

/** The temperature that a probe stands for now, °C; undefined when it is silent. */
export function freshTemperature(probe: WatchedProbe, now: Instant): number | undefined {
  const { sight } = probe;
  if (sight.temperatureAt === undefined || sight.presence === 'gone') return undefined;
  const patience = patienceOf(probe, now);
  if (now - sight.temperatureAt > patience.allowed) return undefined;
  return temperatureOf(sight, now, patience.usual);
}

/** Median of what several probes say, the mean of two, °C. */
export function middleTemperature(
  probes: readonly WatchedProbe[],
  now: Instant,
): number | undefined {
  const values = probes.flatMap((probe) => freshTemperature(probe, now) ?? []);
  return values.length === 0 ? undefined : median(values);
}

/** Takes one reading into account. Sources that the plan does not have are passed over. */
export function see(sights: Sights, reading: Reading): void {
  const source =
    reading.from === 'plug' ? sights.plugs.get(reading.id) : sights.probes.get(reading.id);
  if (source === undefined) return;
  // A retained value says nothing of now; a retained presence does: the broker keeps it up to date.
  if (reading.measure === 'presence') {
    notePresence(source.sight, reading.value !== 0, reading.at);
    return;
  }
  if (reading.retained || !isNews(source.sight, reading.at, reading.arrived)) return;
  if (reading.measure === 'temperature' && reading.from === 'probe') {
    const { sight, fastest } = source as WatchedProbe;
    noteTemperature(sight, reading.value, reading.at, fastest);
    return;
  }
  if (reading.measure === 'power' && reading.from === 'plug') {
    seePower(source as WatchedPlug, reading.value, reading.at);
  } else if (reading.measure === 'voltage' && reading.from === 'plug') {
    noteVolts((source as WatchedPlug).sight, reading.value, reading.at);
  }
  noteVoice(source.sight, reading.at);
}

function seePower(plug: WatchedPlug, power: number, at: Instant): void {
  plug.sight.power = power;
  plug.sight.powerAt = at;
  for (const heater of plug.heaters) {
    const gap = at - (heater.sight.powerAt ?? at);
    const long = gap > MAY_HAVE_MISSED;
    notePower(heater.sight, heater.plan, heater.plan.config.heater_not_heating.draws_under, {
      power,
      at,
      volts: voltsNow(plug.sight, at),
      afterSilence: long && gap > patienceOf(plug, at).allowed,
      sharp: !long || plug.manner === 'on-change',
      temperature: heater.temperature,
    });
  }
}

/** To be called when the broker goes away: the silence that follows is nobody's habit. */
export function lostTouch(sights: Sights): void {
  for (const { sight } of sights.plugs.values()) sight.inTouch = false;
  for (const { sight } of sights.probes.values()) sight.inTouch = false;
}

/**
 * What has changed since the last call, to be stored by key (one row each, the newest wins). Worth
 * calling every quarter of an hour to an hour, and at the end: what is lost between is relearned.
 * The values are alive: store or copy them before the next reading.
 */
export function takeUnsaved(sights: Sights): SavedSight[] {
  const unsaved: SavedSight[] = [];
  for (const { sight } of sights.probes.values()) {
    if (!sight.unsaved) continue;
    sight.unsaved = false;
    unsaved.push({ key: `probe:${sight.id}`, sight });
  }
  for (const { sight, heaters } of sights.plugs.values()) {
    if (!sight.unsaved) continue;
    sight.unsaved = false;
    unsaved.push({ key: `plug:${sight.id}`, sight });
    for (const heater of heaters) {
      unsaved.push({ key: `heater:${heater.plan.id}`, sight: heater.sight });
    }
  }
  return unsaved;
}

/** Everything known, as `takeUnsaved` gives it but copied and without marking anything as saved. */
export function savedSights(sights: Sights): SavedSight[] {
  return structuredCopy([
    ...[...sights.probes.values()].map(({ sight }) => ({
      key: `probe:${sight.id}` as const,
      sight,
    })),
    ...[...sights.plugs.values()].map(({ sight }) => ({ key: `plug:${sight.id}` as const, sight })),
    ...[...sights.heaters.values()].map(({ plan, sight }) => ({
      key: `heater:${plan.id}` as const,
      sight,
    })),
  ]);
}
