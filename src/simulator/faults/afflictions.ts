import { CodedError, type Instant } from '../../units/index.ts';
import type { HouseSpec } from '../spec.ts';
import {
  type DeviceAilment,
  type PlugAilment,
  type ProbeAilment,
  type RoomAilment,
  type TankAilment,
  WELL,
} from './ailments.ts';
import type { Fault } from './fault.ts';
import { probeSymptomOf, symptomOf } from './symptoms.ts';

/**
 * What ails each part of the house now, by id. An ailment is one object for good, changed in place,
 * so that whoever needs it on every step looks it up once.
 */
export interface Afflictions {
  readonly devices: ReadonlyMap<string, DeviceAilment>;
  readonly tanks: ReadonlyMap<string, TankAilment>;
  readonly rooms: ReadonlyMap<string, RoomAilment>;
  readonly probes: ReadonlyMap<string, ProbeAilment>;
  readonly plugs: ReadonlyMap<string, PlugAilment>;
  /** Cold nights of now. */
  readonly nights: readonly Night[];
  /** Some relay flutters, faster than the house is usually stepped. */
  readonly restless: boolean;
  /** Moves on to `at`; costs next to nothing while no fault begins or ends. */
  step(at: Instant): void;
  /** @throws CodedError AMP_DEMO_FAULT when the house does not have what it strikes. */
  strike(fault: Fault): void;
  /** Ends this very fault now; one that is not there is let be. */
  mend(fault: Fault): void;
}

export interface Night {
  readonly from: Instant;
  readonly until: Instant;
}

export function createAfflictions(spec: HouseSpec, faults: readonly Fault[]): Afflictions {
  const devices = byId(spec.devices, WELL.device);
  const tanks = byId(spec.tanks, WELL.tank);
  const rooms = byId(spec.rooms, WELL.room);
  const probes = byId(spec.probes, WELL.probe);
  const plugs = byId(spec.plugs, WELL.plug);
  const nights: Night[] = [];
  const struck = new Set<Fault>();
  let restless = false;
  let nextChange = Number.NEGATIVE_INFINITY;

  function strike(fault: Fault): void {
    const lacking = targets(fault).find(({ id, among }) => !among.has(id));
    if (lacking !== undefined) {
      throw new CodedError(
        'AMP_DEMO_FAULT',
        `'${fault.kind}' cannot strike '${lacking.id}': the house has no such ${lacking.what}`,
        { remedy: `it has ${[...lacking.among.keys()].join(', ') || 'none'}` },
      );
    }
    struck.add(fault);
    nextChange = Number.NEGATIVE_INFINITY;
  }

  function targets(
    fault: Fault,
  ): { what: string; id: string; among: ReadonlyMap<string, unknown> }[] {
    if ('device' in fault) return [{ what: 'device', id: fault.device, among: devices }];
    if ('probe' in fault) return [{ what: 'probe', id: fault.probe, among: probes }];
    if ('plug' in fault) return [{ what: 'plug', id: fault.plug, among: plugs }];
    if ('tank' in fault) return [{ what: 'tank', id: fault.tank, among: tanks }];
    if ('room' in fault) return [{ what: 'room', id: fault.room, among: rooms }];
    const places = 'rooms' in fault ? (fault.rooms ?? []) : [];
    return places.map((id) => ({ what: 'room', id, among: rooms }));
  }

  function look(at: Instant): void {
    heal(devices, WELL.device);
    heal(tanks, WELL.tank);
    heal(rooms, WELL.room);
    heal(probes, WELL.probe);
    heal(plugs, WELL.plug);
    nights.length = 0;
    nextChange = Number.POSITIVE_INFINITY;
    for (const fault of struck) {
      const { from, until = Number.POSITIVE_INFINITY } = fault;
      if (at < from) nextChange = Math.min(nextChange, from);
      else if (at < until) {
        nextChange = Math.min(nextChange, until);
        afflict(fault);
      } else if (fault.kind === 'drifting-heater') afflict(fault);
      else struck.delete(fault);
    }
    restless = [...devices.values()].some(({ flutters }) => flutters);
  }

  function afflict(fault: Fault): void {
    if ('device' in fault) {
      const { drifts = [] } = devices.get(fault.device) ?? {};
      change(devices, fault.device, symptomOf(fault, drifts));
    } else if ('probe' in fault) change(probes, fault.probe, probeSymptomOf(fault));
    else if ('plug' in fault) change(plugs, fault.plug, { offAir: true });
    else if ('tank' in fault) change(tanks, fault.tank, { lossTimes: fault.times });
    else if ('room' in fault) change(rooms, fault.room, { windowOpen: true });
    else if (fault.kind === 'power-cut') cutPower(fault.rooms);
    else fallCold(fault);
  }

  function fallCold(night: Night): void {
    nights.push(night);
    // The room heater has tripped: that is what makes the night cold indoors.
    for (const { id, kind } of spec.devices) {
      if (kind === 'room-heater') change(devices, id, { forced: false });
    }
  }

  function cutPower(places: readonly string[] | undefined): void {
    for (const { id, room, plug } of spec.devices) {
      if (places !== undefined && !places.includes(room)) continue;
      change(devices, id, { powerless: true });
      if (plug !== undefined) change(plugs, plug, { powerless: true });
    }
    // A plug that feeds nothing hangs nowhere in particular.
    if (places === undefined) for (const id of plugs.keys()) change(plugs, id, { powerless: true });
  }

  for (const fault of faults) strike(fault);
  return {
    devices,
    tanks,
    rooms,
    probes,
    plugs,
    nights,
    get restless() {
      return restless;
    },
    step(at) {
      if (at >= nextChange) look(at);
    },
    strike,
    mend(fault) {
      if (struck.delete(fault)) nextChange = Number.NEGATIVE_INFINITY;
    },
  };
}

const byId = <T>(items: readonly { readonly id: string }[], well: () => T): Map<string, T> =>
  new Map(items.map(({ id }) => [id, well()]));

function heal<T extends object>(ailments: ReadonlyMap<string, T>, well: () => T): void {
  for (const ailment of ailments.values()) Object.assign(ailment, well());
}

function change<T extends object>(
  ailments: ReadonlyMap<string, T>,
  id: string,
  symptom: Partial<T>,
): void {
  const ailment = ailments.get(id);
  if (ailment !== undefined) Object.assign(ailment, symptom);
}
