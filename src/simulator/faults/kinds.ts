import { HOUR, type Instant, later } from '../../units/index.ts';
import type { Chance } from '../chance.ts';
import type { DeviceSpec, HouseSpec } from '../spec.ts';
import type { Fault } from './fault.ts';
import { tankHeaters, tellingHeaters } from './telling.ts';

/** A cold night ends in the morning; what broke stays broken until somebody sees to it. */
const NIGHT = 12 * HOUR;

/** How one kind of fault is asked for. */
export interface FaultKind {
  /** What can fail this way, by id; undefined for a kind that strikes nothing in particular. */
  readonly targets?: (spec: HouseSpec) => readonly string[];
  /** Those of them that are chosen from where none is named, if not from all. */
  readonly telling?: (spec: HouseSpec) => readonly string[];
  /** Without a target it strikes the whole house. */
  readonly everywhere?: true;
  /** `target`: empty where it strikes nothing in particular. */
  readonly of: (target: string, from: Instant, chance: Chance) => Fault;
}

const between = (chance: Chance, least: number, most: number): number =>
  Math.round((least + (most - least) * chance.next()) * 100) / 100;

const heater = (of: FaultKind['of']): FaultKind => ({
  targets: tankHeaters,
  telling: tellingHeaters,
  of,
});

const plugged =
  (fits: (device: DeviceSpec, spec: HouseSpec) => boolean) =>
  (spec: HouseSpec): string[] =>
    spec.devices
      .filter((device) => device.plug !== undefined && fits(device, spec))
      .map(({ id }) => id);

const PUMPS = new Set(['pump', 'filter', 'air-pump']);
const pumps = plugged(({ kind }) => PUMPS.has(kind));
const timedLights = plugged(({ kind, schedule }) => kind === 'light' && schedule.length > 0);
const chillersBesideHeaters = plugged(
  ({ kind, tank }, { devices }) =>
    kind === 'chiller' &&
    tank !== undefined &&
    devices.some((other) => other.kind === 'heater' && other.tank === tank),
);

const heaterPlugs = (spec: HouseSpec): string[] =>
  spec.devices.flatMap(({ kind, plug }) => (kind === 'heater' && plug !== undefined ? [plug] : []));

const indoorRooms = (spec: HouseSpec): string[] =>
  spec.rooms.filter(({ outdoors }) => !outdoors).map(({ id }) => id);

const tankProbes = (spec: HouseSpec): string[] =>
  spec.probes.filter(({ tank }) => tank !== undefined).map(({ id }) => id);

const allProbes = (spec: HouseSpec): string[] => spec.probes.map(({ id }) => id);

/** Tanks that one heater keeps warm, as it must. */
function warmTanks(spec: HouseSpec): ReadonlySet<string | undefined> {
  const heaters = new Set(tellingHeaters(spec));
  return new Set(spec.devices.filter(({ id }) => heaters.has(id)).map(({ tank }) => tank));
}

/** Probes in warm water: there it shows at once what they no longer tell. */
function tellingProbes(spec: HouseSpec): string[] {
  const warm = warmTanks(spec);
  return spec.probes.filter(({ tank }) => tank !== undefined && warm.has(tank)).map(({ id }) => id);
}

/** Tanks that a lid keeps warm. */
const liddedTanks = (spec: HouseSpec): string[] =>
  spec.tanks.filter(({ lid, set }) => lid && set !== undefined).map(({ id }) => id);

function tellingLids(spec: HouseSpec): string[] {
  const warm = warmTanks(spec);
  return liddedTanks(spec).filter((id) => warm.has(id));
}

/** Each kind of fault, in the order in which they are listed. */
export const KINDS: Readonly<Record<Fault['kind'], FaultKind>> = {
  'stuck-on': heater((device, from) => ({ kind: 'stuck-on', device, from })),
  'dead-heater': heater((device, from) => ({ kind: 'dead-heater', device, from })),
  'cold-night': { of: (_, from) => ({ kind: 'cold-night', from, until: later(from, NIGHT) }) },
  'plug-offline': {
    targets: heaterPlugs,
    of: (plug, from) => ({ kind: 'plug-offline', plug, from }),
  },
  'weak-heater': heater((device, from, chance) => ({
    kind: 'weak-heater',
    device,
    part: between(chance, 0.45, 0.7),
    from,
  })),
  'drifting-heater': heater((device, from, chance) => ({
    kind: 'drifting-heater',
    device,
    kPerDay: between(chance, 0.1, 0.15) * (chance.next() < 0.5 ? -1 : 1),
    from,
  })),
  'chattering-heater': heater((device, from) => ({ kind: 'chattering-heater', device, from })),
  'dry-heater': heater((device, from) => ({ kind: 'dry-heater', device, from })),
  'fighting-chiller': {
    targets: chillersBesideHeaters,
    of: (device, from) => ({ kind: 'fighting-chiller', device, from }),
  },
  'stopped-pump': {
    targets: pumps,
    of: (device, from) => ({ kind: 'stopped-pump', device, from }),
  },
  'laboring-pump': {
    targets: pumps,
    of: (device, from, chance) => ({
      kind: 'laboring-pump',
      device,
      part: chance.next() < 0.5 ? between(chance, 0.6, 0.7) : between(chance, 1.3, 1.6),
      from,
    }),
  },
  'light-stays-on': {
    targets: timedLights,
    of: (device, from) => ({ kind: 'light-stays-on', device, from }),
  },
  'light-stays-off': {
    targets: timedLights,
    of: (device, from) => ({ kind: 'light-stays-off', device, from }),
  },
  'displaced-probe': {
    targets: tankProbes,
    telling: tellingProbes,
    of: (probe, from) => ({ kind: 'displaced-probe', probe, from }),
  },
  'frozen-probe': {
    targets: allProbes,
    telling: tellingProbes,
    of: (probe, from) => ({ kind: 'frozen-probe', probe, from }),
  },
  'silent-probe': {
    targets: allProbes,
    of: (probe, from) => ({ kind: 'silent-probe', probe, from }),
  },
  'lid-off': {
    targets: liddedTanks,
    telling: tellingLids,
    of: (tank, from, chance) => ({ kind: 'lid-off', tank, times: between(chance, 1.5, 1.8), from }),
  },
  'open-window': {
    targets: indoorRooms,
    of: (room, from) => ({ kind: 'open-window', room, from }),
  },
  'power-cut': {
    targets: indoorRooms,
    everywhere: true,
    of: (room, from) =>
      room === '' ? { kind: 'power-cut', from } : { kind: 'power-cut', rooms: [room], from },
  },
};
