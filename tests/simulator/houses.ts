import { fileURLToPath } from 'node:url';
import { houseSpec } from '../../src/app/demo/house-spec.ts';
import { type Config, formatProblems, loadConfig } from '../../src/config/index.ts';
import { createAfflictions } from '../../src/simulator/faults/afflictions.ts';
import type {
  DeviceSpec,
  Fault,
  HouseSpec,
  PlugSpec,
  TankSpec,
} from '../../src/simulator/index.ts';
import { createChance } from '../../src/simulator/index.ts';
import { createHouse, type House, type HouseOptions } from '../../src/simulator/physics.ts';
import { type Instant, instant } from '../../src/units/index.ts';

/** A mild day of spring. */
export const START = instant(Date.UTC(2026, 3, 14));
/** How finely the simulator steps. */
export const STEP = 30_000;

/** An invented nook: one tank of 100 L, 1 m² of glass under a lid, in a room that the house warms. */
export const tank = (more: Partial<TankSpec> = {}): TankSpec => ({
  id: 'reed-tank',
  room: 'nook',
  waterLiters: 100,
  surface: 1.6,
  wallU: 6,
  lid: true,
  openWater: 0,
  set: 25,
  ...more,
});

export const device = (more: Partial<DeviceSpec> = {}): DeviceSpec => ({
  id: 'reed-heater',
  kind: 'heater',
  watts: 150,
  tank: 'reed-tank',
  room: 'nook',
  plug: 'socket',
  schedule: [],
  ...more,
});

export const plug = (more: Partial<PlugSpec> = {}): PlugSpec => ({
  id: 'socket',
  reporting: 'on-change',
  forgetful: false,
  wrapsAtWh: undefined,
  ...more,
});

export const nook = (more: Partial<HouseSpec> = {}): HouseSpec => ({
  zone: 'America/Winnipeg',
  rooms: [{ id: 'nook', outdoors: false }],
  tanks: [tank()],
  devices: [device()],
  probes: [{ id: 'reed-water', tank: 'reed-tank', room: undefined }],
  plugs: [plug()],
  ...more,
});

export function houseOf(
  spec: HouseSpec,
  options: Partial<HouseOptions> & { seed?: number; faults?: readonly Fault[] } = {},
): House {
  const { start = START, seed = 11, faults = [] } = options;
  const afflictions = createAfflictions(spec, faults);
  return createHouse(spec, { afflictions, ...options, start, chance: createChance(seed) });
}

/** Steps on until `until`, and looks after each step. */
export function run(house: House, until: Instant, look: () => void = () => {}, step = STEP): void {
  while (house.at < until) {
    house.step(Math.min(step, until - house.at));
    look();
  }
}

export const waterOf = (house: House, id = 'reed-tank'): number =>
  house.tanks.get(id)?.temperature ?? Number.NaN;
export const airOf = (house: House, id = 'nook'): number => house.rooms.get(id) ?? Number.NaN;
export const isOn = (house: House, id = 'reed-heater'): boolean =>
  house.devices.get(id)?.on ?? false;
export const wattsOf = (house: House, id = 'reed-heater'): number =>
  house.devices.get(id)?.watts ?? Number.NaN;

/** The example that the demo runs. */
export function fishRoom(): { readonly config: Config; readonly spec: HouseSpec } {
  const file = fileURLToPath(new URL('../../config/fish-room.yaml', import.meta.url));
  const loaded = loadConfig(file, {});
  if (!loaded.ok) throw new Error(formatProblems(loaded.problems));
  return { config: loaded.config, spec: houseSpec(loaded.config) };
}
