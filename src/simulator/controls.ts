import { type Calendar, type Instant, MINUTE, slotOf } from '../units/index.ts';
import type { Chance } from './chance.ts';
import type { Afflictions } from './faults/afflictions.ts';
import type { DeviceAilment } from './faults/ailments.ts';
import type { DeviceSpec, HouseSpec } from './spec.ts';
import { calls, switchesOffAt, type Thermostat, thermostatOf } from './thermostats.ts';

export interface DeviceState {
  on: boolean;
  watts: number;
}

/** What a keeper does at a tank, as far as its devices go. */
interface AtWork {
  readonly temperature: number;
  /** Until when heaters are unplugged, and until when pumps rest. */
  readonly tendedUntil: Instant;
  readonly pumpsRestUntil: Instant;
}

const RESISTIVE = new Set(['heater', 'heat-mat', 'room-heater']);
const UNPLUGGED = new Set(['heater', 'heat-mat']);
const RESTING = new Set(['pump', 'filter']);
const MINUTES_A_DAY = 1440;
/** Fast noise of the mains, as a part. */
const FLICKER = 0.004;

interface Surroundings {
  readonly devices: ReadonlyMap<string, DeviceState>;
  readonly tanks: ReadonlyMap<string, AtWork>;
  readonly rooms: ReadonlyMap<string, number>;
  readonly ailments: Afflictions['devices'];
  readonly calendar: Calendar;
  readonly chance: Chance;
  /** How far the mains wander to either side, as a part. */
  readonly voltSpread: number;
}

/** Thermostats and timers: what is on, and what it draws. */
export interface Controls {
  /** The mains' voltage as a part of its nominal. */
  readonly mains: number;
  step(at: Instant): void;
  /** Where the thermostat of a device switches off, °C; undefined for one that has none. */
  setOf(device: string, at: Instant): number | undefined;
}

/** A device and all that decides on it, looked up once. */
interface Controlled {
  readonly device: DeviceSpec;
  readonly state: DeviceState;
  readonly ailment: DeviceAilment;
  readonly water: AtWork | undefined;
  readonly thermostat: Thermostat | undefined;
  readonly resistive: boolean;
  readonly unplugged: boolean;
  readonly rests: boolean;
  /** By minute of the local day; undefined for one that no timer switches. */
  readonly onAt: readonly boolean[] | undefined;
}

export function createControls(
  spec: HouseSpec,
  { devices, tanks, rooms, ailments, calendar, chance, voltSpread }: Surroundings,
): Controls {
  const controlled = spec.devices.map((device): Controlled => {
    const ailment = ailments.get(device.id) as DeviceAilment;
    // Two heaters in one tank never switch at quite the same temperature.
    const shift = chance.normal() * 0.06;
    return {
      device,
      state: devices.get(device.id) as DeviceState,
      ailment,
      water: tanks.get(device.tank ?? ''),
      thermostat: thermostatOf(device, ailment, spec, shift),
      resistive: RESISTIVE.has(device.kind),
      unplugged: UNPLUGGED.has(device.kind),
      rests: RESTING.has(device.kind),
      onAt: isTimed(device) ? minutesOn(device) : undefined,
    };
  });
  const thermostats = new Map(controlled.map(({ device, thermostat }) => [device.id, thermostat]));
  let mains = 1;
  let slot = Number.NaN;
  let slotMinute = 0;

  function isOn(it: Controlled, at: Instant, minute: number): boolean {
    const { device, state, ailment, water } = it;
    if (ailment.powerless) return false;
    if (water !== undefined) {
      if (it.unplugged && at < water.tendedUntil) return false;
      if (it.rests && at < water.pumpsRestUntil) return false;
    }
    if (ailment.forced !== undefined) return ailment.forced;
    if (it.onAt !== undefined) return it.onAt[minute] === true;
    // Runs some twenty minutes of every fifty.
    if (device.kind === 'dehumidifier') return (at / MINUTE) % 50 < 20;
    if (it.thermostat === undefined) return false;
    const value = water === undefined ? (rooms.get(device.room) ?? 20) : water.temperature;
    const middle = it.thermostat.middle(at);
    // Never evenly, as a controller that pulses would.
    if (ailment.flutters) return value < middle + it.thermostat.band / 2 && chance.next() < 0.5;
    return calls(it.thermostat, middle, value, state.on);
  }

  return {
    get mains() {
      return mains;
    },
    setOf(id, at) {
      const thermostat = thermostats.get(id);
      return thermostat && switchesOffAt(thermostat, at);
    },
    step(at) {
      // Zones change their offset at slot boundaries, so within a slot minutes just pass.
      if (slotOf(at) !== slot) {
        slot = slotOf(at);
        slotMinute = calendar.local(at).minute;
      }
      const minute = slotMinute + Math.floor((at - slot) / MINUTE);
      mains = 1 + voltSpread * Math.sin(at / 5.1e6) + FLICKER * chance.normal();
      for (const it of controlled) {
        const { device, state, ailment } = it;
        state.on = isOn(it, at, minute);
        if (!state.on) state.watts = 0;
        else if (it.resistive) state.watts = device.watts * 0.98 * ailment.part * mains * mains;
        else state.watts = device.watts * 0.93 * ailment.part * (1 + 0.008 * chance.normal());
      }
    },
  };
}

const KEEPERS_OF_TEMPERATURE = new Set(['heater', 'heat-mat', 'chiller', 'room-heater']);

const isTimed = ({ kind }: DeviceSpec): boolean =>
  !KEEPERS_OF_TEMPERATURE.has(kind) && kind !== 'dehumidifier';

const minutesOn = ({ schedule }: DeviceSpec): boolean[] =>
  Array.from(
    { length: MINUTES_A_DAY },
    (_, minute) =>
      schedule.length === 0 ||
      schedule.some(({ from, to }) =>
        from < to ? minute >= from && minute < to : minute >= from || minute < to,
      ),
  );
