import { Calendar, type Instant, later, MINUTE } from '../units/index.ts';
import type { Chance } from './chance.ts';
import { createControls, type DeviceState } from './controls.ts';
import type { Afflictions } from './faults/afflictions.ts';
import { type Habits, USUAL_HABITS } from './habits.ts';
import { createRoomAir } from './room-air.ts';
import type { HouseSpec } from './spec.ts';
import { createBasin, type TankState } from './tank.ts';
import { coldNight, createWeather } from './weather.ts';

/** The simulated house at one moment, as it truly is. */
export interface House {
  readonly at: Instant;
  readonly outdoors: number;
  /** The mains' voltage as a part of its nominal. */
  readonly mains: number;
  /** Air temperature by room, °C. */
  readonly rooms: ReadonlyMap<string, number>;
  readonly tanks: ReadonlyMap<string, TankState>;
  readonly devices: ReadonlyMap<string, DeviceState>;
  /** What a tank loses now for each kelvin above its room, W/K; undefined for one that is none. */
  lossOf(tank: string): number | undefined;
  /** Where a device's thermostat switches off now, °C; undefined for one that has none. */
  setOf(device: string): number | undefined;
  /** Moves on by `ms`; all along, devices and weather are as they are due at its end. */
  step(ms: number): void;
}

export interface HouseOptions {
  readonly start: Instant;
  readonly chance: Chance;
  readonly afflictions: Afflictions;
  readonly habits?: Partial<Habits> | undefined;
  /** °C outdoors; by default a course of its own. */
  readonly weather?: ((at: Instant) => number) | undefined;
  /** Told when a keeper begins to change the water of a tank. */
  readonly tended?: ((tank: string, at: Instant) => void) | undefined;
}

export function createHouse(spec: HouseSpec, options: HouseOptions): House {
  const { chance, afflictions, start, weather: given, tended = () => {} } = options;
  const habits = { ...USUAL_HABITS, ...options.habits };
  const calendar = new Calendar(spec.zone);
  const own = createWeather(chance.fork());
  const weather = (at: Instant, ms: number): number => given?.(at) ?? own.step(at, ms);
  let at = start;
  afflictions.step(at);
  let outdoors = weather(at, MINUTE) - coldNight(afflictions.nights, at);
  const devices = new Map<string, DeviceState>(
    spec.devices.map((device) => [device.id, { on: false, watts: 0 }]),
  );
  const stateOf = (id: string): DeviceState => devices.get(id) as DeviceState;
  const shared = { calendar, start, afflictions, stateOf };
  const care = chance.fork();
  const air = createRoomAir(spec, {
    ...shared,
    chance: chance.fork(),
    outdoors,
    airings: habits.airings,
  });
  const basins = spec.tanks.map((tank) => ({
    id: tank.id,
    basin: createBasin(tank, {
      ...shared,
      spec,
      air: air.of(tank.room),
      habits,
      chance: care.fork(),
      tended,
    }),
  }));
  const tanks = new Map(basins.map(({ id, basin }) => [id, basin.state]));
  const losses = new Map(basins.map(({ id, basin }) => [id, basin.loss]));
  const controls = createControls(spec, {
    devices,
    tanks,
    rooms: air.rooms,
    ailments: afflictions.devices,
    calendar,
    chance: chance.fork(),
    voltSpread: habits.voltSpread,
  });

  return {
    get at() {
      return at;
    },
    get outdoors() {
      return outdoors;
    },
    get mains() {
      return controls.mains;
    },
    rooms: air.rooms,
    tanks,
    devices,
    lossOf: (tank) => losses.get(tank)?.(at),
    setOf: (device) => controls.setOf(device, at),
    step(ms) {
      const seconds = ms / 1000;
      at = later(at, ms);
      afflictions.step(at);
      const night = coldNight(afflictions.nights, at);
      outdoors = weather(at, ms) - night;
      for (const { basin } of basins) basin.care(at);
      controls.step(at);
      for (const { basin } of basins) basin.warm(at, seconds);
      air.step(at, seconds, outdoors, night);
    },
  };
}
