import type { DeviceState } from './controls.ts';
import type { HouseSpec } from './spec.ts';

/** Air, walls and furniture of one room, J/K, and what it loses to the house around it, W/K. */
const CAPACITY = 1.6e6;
const LOSS = 150;
/** A cellar by itself, °C at 0 °C outdoors, and how it follows the weather. */
const CELLAR = { base: 11.5, perOutdoor: 0.2 } as const;
/** The house keeps its rooms at the one, and in summer warms to the other at 30 °C outdoors. */
const LIVING = { winter: 19.2, summer: 22.5, from: 15 } as const;
/** Heat from tanks and lamps spreads from a living room to the rest of the house. */
const STAYS = 0.25;
/** How much of a cold night comes through to a cellar whose heater has tripped. */
const NIGHT_INDOORS = 0.45;

/** Rooms with a heater of their own are cellars, the others the house keeps warm. */
export function createRoomAir(
  spec: HouseSpec,
  stateOf: (device: string) => DeviceState,
  outdoorsNow: number,
  intoWater: (kind: string) => number,
): {
  readonly rooms: ReadonlyMap<string, number>;
  /** `lost`: what the tanks of a room give off, W; `night`: by how much it is colder outdoors, K. */
  step(seconds: number, outdoors: number, lost: ReadonlyMap<string, number>, night: number): void;
} {
  const rooms = new Map(spec.rooms.map((room) => [room.id, room.outdoors ? outdoorsNow : 19.5]));
  const places = spec.rooms.map((room) => {
    const within = spec.devices.filter((device) => device.room === room.id);
    return {
      ...room,
      heated: within.some(({ kind }) => kind === 'room-heater'),
      gains: within.map(({ id, kind, tank }) => ({
        device: stateOf(id),
        part: tank === undefined ? 1 : 1 - intoWater(kind),
      })),
    };
  });

  return {
    rooms,
    step(seconds, outdoors, lost, night) {
      for (const { id, outdoors: isYard, heated, gains } of places) {
        if (isYard) {
          rooms.set(id, outdoors);
          continue;
        }
        let gain = lost.get(id) ?? 0;
        for (const { device, part } of gains) gain += device.watts * part;
        const around = heated
          ? CELLAR.base + CELLAR.perOutdoor * outdoors - NIGHT_INDOORS * night
          : living(outdoors);
        const end = around + (heated ? gain : gain * STAYS) / LOSS;
        const now = rooms.get(id) ?? around;
        rooms.set(id, end + (now - end) * Math.exp((-LOSS * seconds) / CAPACITY));
      }
    },
  };
}

const living = (outdoors: number): number =>
  LIVING.winter +
  (LIVING.summer - LIVING.winter) *
    Math.min(1, Math.max(0, (outdoors - LIVING.from) / (30 - LIVING.from)));
