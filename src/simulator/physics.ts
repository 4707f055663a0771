import { Calendar, type Instant, later, MINUTE, slotOf } from '../units/index.ts';
import type { Chance } from './chance.ts';
import type { Fault } from './faults.ts';
import type { DeviceSpec, HouseSpec, TankSpec } from './spec.ts';
import { createWeather } from './weather.ts';

/** Joules to warm a liter of water by a kelvin. */
const WATER = 4186;
/** Heat capacity of glass, sand and rock beside the water, J/K, of a tank with little water. */
const FURNITURE = 25_000;
/** Evaporation from open still water near room temperature: W/(m²·K); an order, for the demo. */
const OPEN_WATER_U = 22;
/** How many watts of heat a chiller moves for each watt it draws. */
const CHILLER_YIELD = 2;
/** Width of a bimetal thermostat's band, K. */
const BAND = 0.5;
/** The part of a device's power that ends in the water. From memory. */
const INTO_WATER: Readonly<Record<string, number>> = {
  heater: 1,
  'heat-mat': 0.8,
  pump: 0.8,
  filter: 0.7,
  light: 0.3,
  uv: 0.8,
  'air-pump': 0.05,
};

/** What the house keeps its rooms at without the room heater, °C, at 0 °C outdoors; and per °C. */
const INDOORS = { base: 11.5, perOutdoor: 0.2, heated: 18.8 } as const;
const ROOM = { capacity: 1.6e6, loss: 150, set: 19.2, band: 0.8 } as const;

export interface TankState {
  temperature: number;
  /** Until when a keeper is at work: heaters unplugged, then cooler water. */
  tendedUntil: Instant;
}

export interface DeviceState {
  on: boolean;
  watts: number;
}

/** The simulated house at one moment. */
export interface House {
  readonly at: Instant;
  readonly outdoors: number;
  readonly rooms: ReadonlyMap<string, number>;
  readonly tanks: ReadonlyMap<string, TankState>;
  readonly devices: ReadonlyMap<string, DeviceState>;
  step(ms: number): void;
}

export function createHouse(
  spec: HouseSpec,
  options: { start: Instant; chance: Chance; faults: readonly Fault[] },
): House {
  const { chance, faults } = options;
  const calendar = new Calendar(spec.zone);
  const weather = createWeather(chance);
  let at = options.start;
  let outdoors = weather.step(at, MINUTE, 0);
  const indoor = spec.rooms.filter((room) => !room.outdoors).map((room) => room.id);
  const rooms = new Map(spec.rooms.map((room) => [room.id, room.outdoors ? outdoors : 19.5]));
  const tanks = new Map<string, TankState>(
    spec.tanks.map((tank) => [
      tank.id,
      {
        temperature: tank.set ?? Math.max(rooms.get(tank.room) ?? 19, 1),
        tendedUntil: 0 as Instant,
      },
    ]),
  );
  const devices = new Map<string, DeviceState>(
    spec.devices.map((device) => [device.id, { on: false, watts: 0 }]),
  );
  const tankSpecs = new Map(spec.tanks.map((tank) => [tank.id, tank]));
  /** Heaters in one tank never switch at quite the same temperature. */
  const offsets = new Map(spec.devices.map((device) => [device.id, chance.normal() * 0.06]));

  const struck = (kind: Fault['kind'], id: string): boolean =>
    faults.some(
      (fault) =>
        fault.kind === kind && 'device' in fault && fault.device === id && at >= fault.from,
    );
  const plunge = (): number => {
    const night = faults.find((fault) => fault.kind === 'cold-night' && at >= fault.from);
    return night === undefined ? 0 : 14;
  };

  function scheduled(device: DeviceSpec): boolean {
    if (device.schedule.length === 0) return true;
    const minute = calendar.local(at).minute + Math.floor((at - slotOf(at)) / MINUTE);
    return device.schedule.some(({ from, to }) =>
      from < to ? minute >= from && minute < to : minute >= from || minute < to,
    );
  }

  function wantsOn(device: DeviceSpec, state: DeviceState): boolean {
    const tank = device.tank === undefined ? undefined : tankSpecs.get(device.tank);
    const water = device.tank === undefined ? undefined : tanks.get(device.tank);
    const shift = offsets.get(device.id) ?? 0;
    switch (device.kind) {
      case 'heater':
      case 'heat-mat': {
        if (water === undefined || tank?.set === undefined) return false;
        if (struck('stuck-on', device.id)) return true;
        if (struck('dead-heater', device.id)) return false;
        if (at < water.tendedUntil) return false;
        return thermostat(water.temperature, tank.set + shift, BAND, state.on);
      }
      case 'chiller':
        if (water === undefined || tank?.set === undefined) return false;
        return !thermostat(water.temperature, tank.set, 0.8, !state.on);
      case 'room-heater':
        // On a cold night it has tripped: that is what makes the night cold indoors.
        if (plunge() > 0) return false;
        return thermostat(rooms.get(device.room) ?? 20, ROOM.set, ROOM.band, state.on);
      case 'dehumidifier':
        // Runs some twenty minutes of every fifty.
        return (at / MINUTE) % 50 < 20;
      default:
        return scheduled(device);
    }
  }

  function stepDevices(): void {
    const volts = 1 + 0.012 * Math.sin(at / 5.1e6) + 0.004 * chance.normal();
    for (const device of spec.devices) {
      const state = devices.get(device.id) as DeviceState;
      state.on = wantsOn(device, state);
      const resistive = device.kind === 'heater' || device.kind === 'room-heater';
      const scale = resistive ? volts * volts : 1 + 0.008 * chance.normal();
      state.watts = state.on ? device.watts * (resistive ? 0.98 : 0.93) * scale : 0;
    }
  }

  function stepTank(tank: TankSpec, seconds: number): number {
    const state = tanks.get(tank.id) as TankState;
    const room = rooms.get(tank.room) ?? 19;
    let heat = 0;
    for (const device of spec.devices) {
      if (device.tank !== tank.id) continue;
      const watts = devices.get(device.id)?.watts ?? 0;
      heat +=
        device.kind === 'chiller' ? -CHILLER_YIELD * watts : watts * (INTO_WATER[device.kind] ?? 0);
    }
    const conductance = tank.surface * tank.wallU + tank.openWater * OPEN_WATER_U;
    const capacity = tank.waterLiters * WATER + FURNITURE;
    const lost = conductance * (state.temperature - room);
    state.temperature = Math.max(-0.2, state.temperature + ((heat - lost) * seconds) / capacity);
    return lost;
  }

  function stepRooms(seconds: number, lost: ReadonlyMap<string, number>): void {
    for (const id of rooms.keys()) {
      if (!indoor.includes(id)) {
        rooms.set(id, outdoors);
        continue;
      }
      const heated = spec.devices.some((d) => d.kind === 'room-heater' && d.room === id);
      let gain = lost.get(id) ?? 0;
      for (const device of spec.devices) {
        if (device.room !== id) continue;
        const watts = devices.get(device.id)?.watts ?? 0;
        gain += watts * (device.tank === undefined ? 1 : 1 - (INTO_WATER[device.kind] ?? 0));
      }
      const rest = heated ? INDOORS.base : INDOORS.heated;
      const around = rest + INDOORS.perOutdoor * outdoors - (heated ? plunge() * 0.45 : 0);
      const now = rooms.get(id) ?? around;
      const flow = (heated ? gain : gain * 0.25) - ROOM.loss * (now - around);
      rooms.set(id, now + (flow * seconds) / ROOM.capacity);
    }
  }

  /** About once a week, at a civil hour, a quarter of the water is changed for cooler water. */
  function tend(tank: TankSpec, seconds: number): void {
    const state = tanks.get(tank.id) as TankState;
    if (tank.waterLiters < 30 || tank.set === undefined || tank.set < 5) return;
    const minute = calendar.local(at).minute;
    if (minute < 600 || minute > 1200 || at < state.tendedUntil) return;
    if (chance.next() > seconds / (7 * 10 * 3600)) return;
    state.tendedUntil = later(at, 35 * MINUTE);
    state.temperature -= 0.25 * (1.2 + chance.next() * 1.6);
  }

  return {
    get at() {
      return at;
    },
    get outdoors() {
      return outdoors;
    },
    rooms,
    tanks,
    devices,
    step(ms) {
      const seconds = ms / 1000;
      at = later(at, ms);
      outdoors = weather.step(at, ms, plunge());
      stepDevices();
      const lost = new Map<string, number>();
      for (const tank of spec.tanks) {
        tend(tank, seconds);
        lost.set(tank.room, (lost.get(tank.room) ?? 0) + stepTank(tank, seconds));
      }
      stepRooms(seconds, lost);
    },
  };
}

/** On below the band, off above it, and as before within it. */
function thermostat(value: number, set: number, band: number, on: boolean): boolean {
  if (value <= set - band / 2) return true;
  return value >= set + band / 2 ? false : on;
}
