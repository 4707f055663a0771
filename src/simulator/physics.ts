import { Calendar, type Instant, later, MINUTE } from '../units/index.ts';
import type { Chance } from './chance.ts';
import { createControls, type DeviceState } from './controls.ts';
import type { Fault } from './faults.ts';
import { createRoomAir } from './room-air.ts';
import type { HouseSpec, TankSpec } from './spec.ts';
import { type TankHeat, tankHeat, warmed } from './tank-heat.ts';
import { createTending } from './tending.ts';
import { coldNight, createWeather } from './weather.ts';

/** How many watts of heat a chiller moves for each watt it draws. */
const CHILLER_YIELD = 2;
/** While a keeper works on a tank its heaters are unplugged. */
const TENDED_FOR = 35 * MINUTE;
/** Water with ice on it gets no colder. */
const ICE = -0.2;
/** The part of a device's power that ends in the water. From memory. */
const INTO_WATER: Readonly<Record<string, number>> = {
  heater: 1,
  'heat-mat': 0.8,
  pump: 0.8,
  filter: 0.7,
  light: 0.3,
  uv: 0.8,
  'air-pump': 0.05,
  chiller: -CHILLER_YIELD,
};
const intoWater = (kind: string): number => INTO_WATER[kind] ?? 0;

export interface TankState {
  temperature: number;
  /** Until when a keeper is at work. */
  tendedUntil: Instant;
}

/** The simulated house at one moment. */
export interface House {
  readonly at: Instant;
  readonly outdoors: number;
  /** Air temperature by room, °C. */
  readonly rooms: ReadonlyMap<string, number>;
  readonly tanks: ReadonlyMap<string, TankState>;
  readonly devices: ReadonlyMap<string, DeviceState>;
  /** Moves on by `ms`; all along, devices and weather are as they are due at its end. */
  step(ms: number): void;
}

/** A tank and what warms it. */
interface Basin {
  readonly spec: TankSpec;
  readonly state: TankState;
  readonly heat: TankHeat;
  readonly warmedBy: readonly { readonly device: DeviceState; readonly part: number }[];
}

export function createHouse(
  spec: HouseSpec,
  options: { start: Instant; chance: Chance; faults: readonly Fault[] },
): House {
  const { chance, faults, start } = options;
  const calendar = new Calendar(spec.zone);
  const weather = createWeather(chance.fork());
  const nights = faults.filter((fault) => fault.kind === 'cold-night');
  let at = start;
  let outdoors = weather.step(at, MINUTE, coldNight(nights, at));
  const devices = new Map<string, DeviceState>(
    spec.devices.map((device) => [device.id, { on: false, watts: 0 }]),
  );
  const stateOf = (id: string): DeviceState => devices.get(id) as DeviceState;
  const air = createRoomAir(spec, stateOf, outdoors, intoWater);
  const basins = spec.tanks.map(
    (tank): Basin => ({
      spec: tank,
      state: {
        temperature: tank.set ?? Math.max(air.rooms.get(tank.room) ?? 19, 1),
        tendedUntil: 0 as Instant,
      },
      heat: tankHeat(tank),
      warmedBy: spec.devices.flatMap((device) => {
        const part = device.tank === tank.id ? intoWater(device.kind) : 0;
        return part === 0 ? [] : [{ device: stateOf(device.id), part }];
      }),
    }),
  );
  const tanks = new Map(basins.map(({ spec: { id }, state }) => [id, state]));
  const tending = createTending(spec.tanks, calendar, start, chance.fork());
  const controls = createControls(spec, {
    devices,
    tanks,
    rooms: air.rooms,
    calendar,
    chance: chance.fork(),
  });
  const lost = new Map<string, number>();

  function tend({ spec: tank, state }: Basin): void {
    const cooledBy = tending.begins(tank, at);
    if (cooledBy === undefined) return;
    state.tendedUntil = later(at, TENDED_FOR);
    state.temperature -= cooledBy;
  }

  function warm({ spec: tank, state, heat, warmedBy }: Basin, seconds: number): void {
    let watts = 0;
    for (const { device, part } of warmedBy) watts += device.watts * part;
    const room = air.rooms.get(tank.room) ?? 19;
    const before = state.temperature;
    state.temperature = Math.max(ICE, warmed(heat, before, watts, room, seconds));
    const stored = (heat.capacity * (state.temperature - before)) / seconds;
    lost.set(tank.room, (lost.get(tank.room) ?? 0) + watts - stored);
  }

  return {
    get at() {
      return at;
    },
    get outdoors() {
      return outdoors;
    },
    rooms: air.rooms,
    tanks,
    devices,
    step(ms) {
      const seconds = ms / 1000;
      at = later(at, ms);
      outdoors = weather.step(at, ms, coldNight(nights, at));
      for (const basin of basins) tend(basin);
      controls.step(at, faults);
      lost.clear();
      for (const basin of basins) warm(basin, seconds);
      air.step(seconds, outdoors, lost, coldNight(nights, at));
    },
  };
}
