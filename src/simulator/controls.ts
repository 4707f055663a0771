import { type Calendar, type Instant, MINUTE, slotOf } from '../units/index.ts';
import type { Chance } from './chance.ts';
import { type Fault, isOn } from './faults.ts';
import type { DeviceSpec, HouseSpec } from './spec.ts';
import { thermostat } from './tank-heat.ts';

export interface DeviceState {
  on: boolean;
  watts: number;
}

/** Widths of thermostats' bands, K: bimetal in the water, electronic at the chiller. */
const BAND = 0.5;
const CHILLER_BAND = 0.8;
const ROOM = { set: 19.2, band: 0.8 } as const;
const RESISTIVE = new Set(['heater', 'heat-mat', 'room-heater']);

interface Surroundings {
  readonly devices: ReadonlyMap<string, DeviceState>;
  readonly tanks: ReadonlyMap<
    string,
    { readonly temperature: number; readonly tendedUntil: Instant }
  >;
  readonly rooms: ReadonlyMap<string, number>;
  readonly calendar: Calendar;
  readonly chance: Chance;
}

/** Thermostats and timers: what is on, and what it draws. */
export function createControls(
  spec: HouseSpec,
  { devices, tanks, rooms, calendar, chance }: Surroundings,
): { step(at: Instant, faults: readonly Fault[]): void } {
  const sets = new Map(spec.tanks.map((tank) => [tank.id, tank.set]));
  const controlled = spec.devices.map((device) => ({
    device,
    state: devices.get(device.id) as DeviceState,
    water: tanks.get(device.tank ?? ''),
    set: sets.get(device.tank ?? ''),
    // Two heaters in one tank never switch at quite the same temperature.
    shift: chance.normal() * 0.06,
    resistive: RESISTIVE.has(device.kind),
  }));

  function wantsOn(it: (typeof controlled)[number], at: Instant, minute: number): boolean {
    const { device, state, water, set } = it;
    switch (device.kind) {
      case 'heater':
      case 'heat-mat':
        if (water === undefined || set === undefined || at < water.tendedUntil) return false;
        return thermostat(water.temperature, set + it.shift, BAND, state.on);
      case 'chiller':
        if (water === undefined || set === undefined) return false;
        return !thermostat(water.temperature, set, CHILLER_BAND, !state.on);
      case 'room-heater':
        return thermostat(rooms.get(device.room) ?? 20, ROOM.set, ROOM.band, state.on);
      case 'dehumidifier':
        // Runs some twenty minutes of every fifty.
        return (at / MINUTE) % 50 < 20;
      default:
        return isScheduled(device, minute);
    }
  }

  return {
    step(at, faults) {
      // Zones change their offset at slot boundaries, so within a slot minutes just pass.
      const minute = calendar.local(at).minute + Math.floor((at - slotOf(at)) / MINUTE);
      const struck = faults.filter((fault) => isOn(fault, at));
      const volts = 1 + 0.012 * Math.sin(at / 5.1e6) + 0.004 * chance.normal();
      for (const it of controlled) {
        const { device, state } = it;
        state.on = overruled(device, struck) ?? wantsOn(it, at, minute);
        if (!state.on) state.watts = 0;
        else if (it.resistive) state.watts = device.watts * 0.98 * volts * volts;
        else state.watts = device.watts * 0.93 * (1 + 0.008 * chance.normal());
      }
    },
  };
}

/** On or off by a fault, whatever its thermostat says; undefined for a device that is well. */
function overruled(device: DeviceSpec, struck: readonly Fault[]): boolean | undefined {
  for (const fault of struck) {
    if (fault.kind === 'stuck-on' && fault.device === device.id) return true;
    if (fault.kind === 'dead-heater' && fault.device === device.id) return false;
    // The room heater has tripped: that is what makes the night cold indoors.
    if (fault.kind === 'cold-night' && device.kind === 'room-heater') return false;
  }
  return undefined;
}

const isScheduled = ({ schedule }: DeviceSpec, minute: number): boolean =>
  schedule.length === 0 ||
  schedule.some(({ from, to }) =>
    from < to ? minute >= from && minute < to : minute >= from || minute < to,
  );
