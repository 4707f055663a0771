import { fileURLToPath } from 'node:url';
import { houseSpec } from '../../src/app/demo/house-spec.ts';
import { type House, prepareHouse } from '../../src/app/house.ts';
import { type Config, formatProblems, loadConfig } from '../../src/config/index.ts';
import type { Chance, HouseSpec } from '../../src/simulator/index.ts';

const FILE = fileURLToPath(new URL('house.yaml', import.meta.url));

/** A house under study: as the product has it, and as it truly is. */
export interface Subject {
  readonly house: House;
  readonly spec: HouseSpec;
}

/** How far a tank's walls may lose more or less than its geometry says. */
const WALLS = 0.25;

/** The laboratory's house, or those of its rooms that are named. */
export function subject(chance: Chance, rooms?: readonly string[]): Subject {
  const loaded = loadConfig(FILE, {});
  if (!loaded.ok) throw new Error(formatProblems(loaded.problems));
  const house = prepareHouse(rooms === undefined ? loaded.config : part(loaded.config, rooms));
  const spec = houseSpec(house.config);
  const tanks = spec.tanks.map((tank) => ({
    ...tank,
    wallU: tank.wallU * (1 + WALLS * (2 * chance.next() - 1)),
  }));
  return { house, spec: { ...spec, tanks } };
}

/** What stands in these rooms, with its gear, plugs and probes. */
function part(config: Config, wanted: readonly string[]): Config {
  const isIn = (room: string | undefined) => room !== undefined && wanted.includes(room);
  const rooms = kept(config.rooms, (_, id) => isIn(id));
  const tanks = kept(config.tanks, ({ room }) => isIn(room));
  const devices = kept(config.devices, ({ tank }) => tank !== undefined && tank in tanks);
  const used = new Set(Object.values(devices).map(({ plug }) => plug));
  return {
    ...config,
    rooms,
    tanks,
    devices,
    plugs: kept(config.plugs, (_, id) => used.has(id)),
    probes: kept(
      config.probes,
      ({ tank, room }) => isIn(room) || (tank !== undefined && tank in tanks),
    ),
  };
}

const kept = <T>(
  all: Readonly<Record<string, T>>,
  fits: (it: T, id: string) => boolean,
): Record<string, T> => Object.fromEntries(Object.entries(all).filter(([id, it]) => fits(it, id)));
