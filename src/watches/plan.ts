import {
  type HeatPrior,
  heatIntoWater,
  priorFromGeometry,
  type TankShape,
  usualSetting,
} from '../heat/index.ts';
import { type LocalDate, type Millis, SECOND } from '../units/index.ts';
import type { WatchesConfig } from './config.ts';
import { type GearPlan, planGear } from './gear-plan.ts';
import { inUse, type ServingDevice, tankOf } from './served.ts';
import { type Fits, thresholdsFor } from './thresholds.ts';

/** The part of the configuration that watches need; the whole one fits. */
export interface WatchedSite {
  readonly rooms: Readonly<Record<string, { readonly outdoors?: boolean }>>;
  readonly tanks: Readonly<
    Record<
      string,
      TankShape & {
        readonly room: string;
        readonly keep_c: { readonly min: number; readonly max: number };
        readonly set_c?: number | undefined;
      }
    >
  >;
  readonly probes: Readonly<
    Record<
      string,
      {
        readonly tank?: string | undefined;
        readonly room?: string | undefined;
        readonly usual_interval_s?: number | undefined;
      }
    >
  >;
  readonly plugs: Readonly<
    Record<
      string,
      {
        readonly reporting: 'on-change' | 'interval';
        readonly usual_interval_s?: number | undefined;
      }
    >
  >;
  readonly devices: Readonly<
    Record<
      string,
      ServingDevice & {
        readonly kind: string;
        readonly nameplate_w: number;
        readonly plug?: string | undefined;
        readonly heat_into_water?: number | undefined;
      }
    >
  >;
  readonly watches: WatchesConfig;
}

export interface PlannedTank {
  readonly id: string;
  /** The thresholds that hold for it. */
  readonly config: WatchesConfig;
  readonly room: string;
  readonly keep: { readonly min: number; readonly max: number };
  /** Where the config says that the thermostat is set, °C. */
  readonly set: number | undefined;
  readonly probes: readonly string[];
  readonly heaters: readonly string[];
  readonly chillers: readonly string[];
  /** What else warms its water: devices that are its own alone. */
  readonly others: readonly PlannedWarmth[];
  /** Reckoned from geometry; undefined where the tank's size is not told. */
  readonly prior: HeatPrior | undefined;
}

/** A device, no heater, part of whose power ends as heat in a tank's water. */
export interface PlannedWarmth {
  readonly id: string;
  readonly plug: string | undefined;
  /** False where other devices hang on its plug. */
  readonly alone: boolean;
  /** `heatIntoWater`, more than 0. */
  readonly intoWater: number;
}

export interface PlannedRoom {
  readonly id: string;
  /** The thresholds that hold for it. */
  readonly config: WatchesConfig;
  /** Its air does as the weather does. */
  readonly outdoors: boolean;
  readonly probes: readonly string[];
  readonly tanks: readonly string[];
}

export interface PlannedPlug {
  readonly id: string;
  readonly config: WatchesConfig;
  readonly reporting: 'on-change' | 'interval';
  /** Told by the config, else learned. */
  readonly usualInterval: Millis | undefined;
  /** All that hangs on it. */
  readonly devices: readonly string[];
  /** The heaters that it tells of: those alone on it. */
  readonly heaters: readonly string[];
  readonly chillers: readonly string[];
  /** The tank of the devices on it, where they all serve one. */
  readonly tank: string | undefined;
}

export interface PlannedProbe {
  readonly id: string;
  readonly config: WatchesConfig;
  readonly usualInterval: Millis | undefined;
  readonly tank: string | undefined;
  readonly room: string | undefined;
}

/** A heater, or a chiller: a thermostat switches both. */
export interface PlannedHeater {
  readonly id: string;
  readonly config: WatchesConfig;
  readonly tank: string;
  readonly plug: string | undefined;
  /** W. */
  readonly nameplate: number;
  /** False where other devices hang on its plug: what that draws says nothing sure of the heater. */
  readonly alone: boolean;
}

/** Who watches what, worked out once from the configuration. */
export interface WatchPlan {
  /** The site's; rooms, tanks, heaters, plugs and probes have their own. */
  readonly config: WatchesConfig;
  readonly tanks: ReadonlyMap<string, PlannedTank>;
  readonly rooms: ReadonlyMap<string, PlannedRoom>;
  readonly plugs: ReadonlyMap<string, PlannedPlug>;
  readonly probes: ReadonlyMap<string, PlannedProbe>;
  readonly heaters: ReadonlyMap<string, PlannedHeater>;
  readonly chillers: ReadonlyMap<string, PlannedHeater>;
  readonly gear: GearPlan;
}

type Device = WatchedSite['devices'][string];

/** Ids by what they belong to; those that belong to nothing are left out. */
function grouped<T>(
  all: Iterable<readonly [string, T]>,
  by: (it: T) => string | undefined,
): ReadonlyMap<string, string[]> {
  const groups = new Map<string, string[]>();
  for (const [id, it] of all) {
    const group = by(it);
    if (group === undefined) continue;
    const ids = groups.get(group);
    if (ids === undefined) groups.set(group, [id]);
    else ids.push(id);
  }
  return groups;
}

type Groups = ReadonlyMap<string, string[]>;

/** The devices in use, and the tank that each serves today. */
type Served = ReadonlyMap<string, { readonly device: Device; readonly tank: string | undefined }>;

function planned(
  kind: 'heater' | 'chiller',
  site: WatchedSite,
  served: Served,
  onPlug: Groups,
): Map<string, PlannedHeater> {
  const heaters = new Map<string, PlannedHeater>();
  for (const [id, { device, tank }] of served) {
    if (device.kind !== kind || tank === undefined) continue;
    const { nameplate_w: nameplate } = device;
    heaters.set(id, {
      id,
      config: thresholdsFor(site.watches, { ...withinTank(site, tank), device: id }),
      tank,
      plug: plugOf(device, site),
      nameplate,
      alone: isAlone(id, device, onPlug),
    });
  }
  return heaters;
}

/** What is in a tank is in its room too. */
const withinTank = ({ tanks }: WatchedSite, tank: string | undefined): Fits => {
  const { housing, room } = tanks[tank ?? ''] ?? {};
  return { housing, room, tank };
};

const plugOf = ({ plug }: Device, { plugs }: WatchedSite): string | undefined =>
  plug !== undefined && Object.hasOwn(plugs, plug) ? plug : undefined;

const isAlone = (id: string, { plug }: Device, onPlug: Groups): boolean =>
  (onPlug.get(plug ?? '') ?? []).every((other) => other === id);

/** By tank, the same devices that its heat loss is learned with, heaters left out. */
function warmths(
  site: WatchedSite,
  served: Served,
  onPlug: Groups,
): ReadonlyMap<string, PlannedWarmth[]> {
  const byTank = new Map<string, PlannedWarmth[]>();
  for (const [id, { device }] of served) {
    const { kind, tank, moved } = device;
    const intoWater = heatIntoWater(device);
    if (tank === undefined || moved !== undefined || kind === 'heater' || intoWater === 0) continue;
    const warmth = {
      id,
      plug: plugOf(device, site),
      alone: isAlone(id, device, onPlug),
      intoWater,
    };
    const known = byTank.get(tank);
    if (known === undefined) byTank.set(tank, [warmth]);
    else known.push(warmth);
  }
  return byTank;
}

const told = (seconds: number | undefined): Millis | undefined =>
  seconds === undefined ? undefined : ((seconds * SECOND) as Millis);

/**
 * Works out what is watched. Heaters that serve no single tank are left out, and devices that are no
 * longer in use.
 * @param site the whole configuration will do
 * @param today decides whose a device that moved is, and which are in use; without it the day is
 *   taken to be after all dates that the devices name
 */
export function planWatches(site: WatchedSite, today?: LocalDate): WatchPlan {
  const served: Served = new Map(
    Object.entries(site.devices)
      .filter(([, device]) => inUse(device, today))
      .map(([id, device]) => [id, { device, tank: tankOf(device, site.tanks, today) }]),
  );
  const onPlug = grouped(served, ({ device }) => device.plug);
  const heaters = planned('heater', site, served, onPlug);
  const chillers = planned('chiller', site, served, onPlug);
  return {
    config: site.watches,
    tanks: plannedTanks(site, heaters, chillers, warmths(site, served, onPlug)),
    rooms: plannedRooms(site),
    plugs: plannedPlugs(site, served, { heaters, chillers }, onPlug),
    probes: mapped(site.probes, (id, probe) => ({
      id,
      config: thresholdsFor(site.watches, {
        room: probe.room,
        ...(probe.tank === undefined ? {} : withinTank(site, probe.tank)),
        probe: id,
      }),
      usualInterval: told(probe.usual_interval_s),
      tank: probe.tank,
      room: probe.room,
    })),
    heaters,
    chillers,
    gear: planGear(site, today),
  };
}

function mapped<T, U>(
  all: Readonly<Record<string, T>>,
  plan: (id: string, it: T) => U,
): Map<string, U> {
  return new Map(Object.entries(all).map(([id, it]) => [id, plan(id, it)]));
}

function plannedTanks(
  site: WatchedSite,
  heaters: ReadonlyMap<string, PlannedHeater>,
  chillers: ReadonlyMap<string, PlannedHeater>,
  others: ReadonlyMap<string, PlannedWarmth[]>,
): Map<string, PlannedTank> {
  const probes = grouped(Object.entries(site.probes), (probe) => probe.tank);
  const inTank = grouped(heaters, (heater) => heater.tank);
  const cooling = grouped(chillers, (chiller) => chiller.tank);
  return mapped(site.tanks, (id, tank) => {
    const keep = { min: tank.keep_c.min, max: tank.keep_c.max };
    return {
      id,
      config: thresholdsFor(site.watches, withinTank(site, id)),
      room: tank.room,
      keep,
      set: tank.set_c,
      probes: probes.get(id) ?? [],
      heaters: inTank.get(id) ?? [],
      chillers: cooling.get(id) ?? [],
      others: others.get(id) ?? [],
      prior: priorFromGeometry(tank, usualSetting(tank)),
    };
  });
}

function plannedRooms(site: WatchedSite): Map<string, PlannedRoom> {
  const probes = grouped(Object.entries(site.probes), (probe) => probe.room);
  const tanks = grouped(Object.entries(site.tanks), (tank) => tank.room);
  return mapped(site.rooms, (id, room) => ({
    id,
    config: thresholdsFor(site.watches, { room: id }),
    outdoors: room.outdoors ?? false,
    probes: probes.get(id) ?? [],
    tanks: tanks.get(id) ?? [],
  }));
}

function plannedPlugs(
  site: WatchedSite,
  served: Served,
  { heaters, chillers }: Pick<WatchPlan, 'heaters' | 'chillers'>,
  onPlug: Groups,
): Map<string, PlannedPlug> {
  return mapped(site.plugs, (id, plug) => {
    const devices = onPlug.get(id) ?? [];
    const tanks = new Set(devices.map((device) => served.get(device)?.tank));
    const rooms = new Set([...tanks].map((tank) => site.tanks[tank ?? '']?.room));
    const tank = tanks.size === 1 ? [...tanks][0] : undefined;
    return {
      id,
      config: thresholdsFor(site.watches, {
        ...withinTank(site, tank),
        room: rooms.size === 1 ? [...rooms][0] : undefined,
        plug: id,
      }),
      reporting: plug.reporting,
      usualInterval: told(plug.usual_interval_s),
      devices,
      heaters: devices.filter((device) => heaters.get(device)?.alone === true),
      chillers: devices.filter((device) => chillers.get(device)?.alone === true),
      tank,
    };
  });
}
