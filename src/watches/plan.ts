import type * as heatRoom from '../heat/index.ts';
import type { HeatPrior, TankShape } from '../heat/index.ts';
import { type Millis, SECOND } from '../units/index.ts';
import type { WatchesConfig } from './config.ts';

/** The part of the configuration that watches need; the whole one fits. */
export interface WatchedSite {
  readonly rooms: Readonly<Record<string, unknown>>;
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
      {
        readonly kind: string;
        readonly nameplate_w: number;
        readonly plug?: string | undefined;
        readonly tank?: string | undefined;
        readonly shares?: Readonly<Record<string, number>> | undefined;
      }
    >
  >;
  readonly watches: WatchesConfig;
}

export interface PlannedTank {
  readonly id: string;
  readonly room: string;
  readonly keep: { readonly min: number; readonly max: number };
  /** Where the config says that the thermostat is set, °C. */
  readonly set: number | undefined;
  readonly probes: readonly string[];
  readonly heaters: readonly string[];
  /** Reckoned from geometry; undefined where the tank's size is not told. */
  readonly prior: HeatPrior | undefined;
}

export interface PlannedRoom {
  readonly id: string;
  readonly probes: readonly string[];
  readonly tanks: readonly string[];
}

export interface PlannedPlug {
  readonly id: string;
  readonly reporting: 'on-change' | 'interval';
  /** Told by the config, else learned. */
  readonly usualInterval: Millis | undefined;
  readonly heaters: readonly string[];
  /** The tank of the devices on it, where they all serve one. */
  readonly tank: string | undefined;
}

export interface PlannedProbe {
  readonly id: string;
  readonly usualInterval: Millis | undefined;
  readonly tank: string | undefined;
  readonly room: string | undefined;
}

export interface PlannedHeater {
  readonly id: string;
  readonly tank: string;
  readonly plug: string | undefined;
  /** W. */
  readonly nameplate: number;
  /** What the other devices on its plug draw at most, W. */
  readonly background: number;
  /** False where those would drown the heater: then its plug says nothing about it. */
  readonly heard: boolean;
}

/** What the heat room works out for the watches: handed in, so that they need only its types. */
export type HeatWork = Pick<
  typeof heatRoom,
  'hoursToLimit' | 'learnThermostat' | 'priorFromGeometry' | 'thermostatOf'
>;

/** Who watches what, worked out once from the configuration. */
export interface WatchPlan {
  readonly config: WatchesConfig;
  readonly heat: HeatWork;
  readonly tanks: ReadonlyMap<string, PlannedTank>;
  readonly rooms: ReadonlyMap<string, PlannedRoom>;
  readonly plugs: ReadonlyMap<string, PlannedPlug>;
  readonly probes: ReadonlyMap<string, PlannedProbe>;
  readonly heaters: ReadonlyMap<string, PlannedHeater>;
}

/** The usual room, for the prior's straight line. Assumption, no source. */
const USUAL_ROOM = { roomC: 20, humidity: 0.5 };
/** Companions on the same plug may have up to this part of the heater's nameplate. */
const DROWNS = 0.5;

type Device = WatchedSite['devices'][string];

/** The tank whose water a heater's thermostat feels: its own, or the one with the largest share. */
function tankOf(device: Device, tanks: WatchedSite['tanks']): string | undefined {
  if (device.tank !== undefined) return device.tank in tanks ? device.tank : undefined;
  const shares = Object.entries(device.shares ?? {})
    .filter(([tank]) => tank in tanks)
    .sort(([, a], [, b]) => b - a);
  const [first, second] = shares;
  if (first === undefined || first[1] === second?.[1]) return undefined;
  return first[0];
}

function commonTank({ devices, tanks }: WatchedSite, plug: string): string | undefined {
  const served = Object.values(devices).filter((device) => device.plug === plug);
  const found = new Set(served.map((device) => tankOf(device, tanks)));
  return found.size === 1 ? [...found][0] : undefined;
}

function plannedHeaters(site: WatchedSite): Map<string, PlannedHeater> {
  const heaters = new Map<string, PlannedHeater>();
  const devices = Object.entries(site.devices);
  for (const [id, device] of devices) {
    const tank = device.kind === 'heater' ? tankOf(device, site.tanks) : undefined;
    if (tank === undefined) continue;
    const { plug, nameplate_w: nameplate } = device;
    const background = devices
      .filter(([other, it]) => other !== id && plug !== undefined && it.plug === plug)
      .reduce((sum, [, it]) => sum + it.nameplate_w, 0);
    heaters.set(id, {
      id,
      tank,
      plug: plug !== undefined && plug in site.plugs ? plug : undefined,
      nameplate,
      background,
      heard: background <= DROWNS * nameplate,
    });
  }
  return heaters;
}

const told = (seconds: number | undefined): Millis | undefined =>
  seconds === undefined ? undefined : ((seconds * SECOND) as Millis);

/**
 * Works out what is watched. Heaters that serve no single tank are left out.
 * @param site the whole configuration will do
 * @param heat the heat room
 */
export function planWatches(site: WatchedSite, heat: HeatWork): WatchPlan {
  const heaters = plannedHeaters(site);
  const probes = Object.entries(site.probes);
  const tanks = new Map<string, PlannedTank>();
  for (const [id, tank] of Object.entries(site.tanks)) {
    const keep = { min: tank.keep_c.min, max: tank.keep_c.max };
    tanks.set(id, {
      id,
      room: tank.room,
      keep,
      set: tank.set_c,
      probes: probes.filter(([, probe]) => probe.tank === id).map(([probe]) => probe),
      heaters: [...heaters.values()].filter((it) => it.tank === id).map((it) => it.id),
      prior: heat.priorFromGeometry(tank, {
        tankC: tank.set_c ?? (keep.min + keep.max) / 2,
        ...USUAL_ROOM,
      }),
    });
  }
  const roomIds = Object.keys(site.rooms);
  return {
    config: site.watches,
    heat,
    tanks,
    heaters,
    rooms: new Map(
      roomIds.map((id) => [
        id,
        {
          id,
          probes: probes.filter(([, probe]) => probe.room === id).map(([probe]) => probe),
          tanks: [...tanks.values()].filter((tank) => tank.room === id).map((tank) => tank.id),
        },
      ]),
    ),
    plugs: new Map(
      Object.entries(site.plugs).map(([id, plug]) => [
        id,
        {
          id,
          reporting: plug.reporting,
          usualInterval: told(plug.usual_interval_s),
          heaters: [...heaters.values()].filter((it) => it.plug === id).map((it) => it.id),
          tank: commonTank(site, id),
        },
      ]),
    ),
    probes: new Map(
      probes.map(([id, probe]) => [
        id,
        {
          id,
          usualInterval: told(probe.usual_interval_s),
          tank: probe.tank,
          room: probe.room,
        },
      ]),
    ),
  };
}
