import { type Calendar, type Instant, later, MINUTE } from '../units/index.ts';
import type { Chance } from './chance.ts';
import type { DeviceState } from './controls.ts';
import type { Afflictions } from './faults/afflictions.ts';
import type { DeviceAilment, RoomAilment } from './faults/ailments.ts';
import { intoWater } from './into-water.ts';
import { createRoutine, type Routine } from './routine.ts';
import type { HouseSpec } from './spec.ts';

/** Walls, furniture and air of one room, J/K, and what they lose to the house around them, W/K. */
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
/**
 * Through an open window, and from a room's walls to its air, W/K; from memory. Air alone has so
 * little heat that it is always where these two leave it.
 */
const WINDOW = 200;
const WALLS = 600;
const AIRING = { every: { least: 1, most: 3 }, hours: { from: 8, to: 21 } } as const;
const AIRED_FOR = 8 * MINUTE;
/** Nobody opens a window when it is colder than this, °C. */
const TOO_COLD_TO_AIR = -5;

/** The air of one room. */
export interface Air {
  temperature: number;
  /** What its tanks gave off since the last step, W. */
  fromTanks: number;
}

interface Place extends Air {
  readonly id: string;
  readonly outdoors: boolean;
  readonly heated: boolean;
  readonly ailment: RoomAilment;
  readonly airing: Routine | undefined;
  readonly gains: readonly {
    readonly device: DeviceState;
    readonly ailment: DeviceAilment;
    readonly part: number;
  }[];
  /** Of the walls and what stands between them, °C: of the air too, while no window is open. */
  walls: number;
  airedUntil: Instant;
}

export interface RoomAir {
  readonly rooms: ReadonlyMap<string, number>;
  /** The air that changes along with the room. */
  of(room: string): Air;
  /** `night`: by how much it is colder outdoors, K. */
  step(at: Instant, seconds: number, outdoors: number, night: number): void;
}

/** Rooms with a heater of their own are cellars, the others the house keeps warm. */
export function createRoomAir(
  spec: HouseSpec,
  options: {
    start: Instant;
    calendar: Calendar;
    chance: Chance;
    afflictions: Afflictions;
    outdoors: number;
    airings: boolean;
    stateOf: (device: string) => DeviceState;
  },
): RoomAir {
  const { afflictions, stateOf } = options;
  const places = spec.rooms.map((room): Place => {
    const within = spec.devices.filter((device) => device.room === room.id);
    const now = room.outdoors ? options.outdoors : 19.5;
    return {
      ...room,
      temperature: now,
      walls: now,
      fromTanks: 0,
      airedUntil: 0 as Instant,
      heated: within.some(({ kind }) => kind === 'room-heater'),
      ailment: afflictions.rooms.get(room.id) as RoomAilment,
      airing:
        options.airings && !room.outdoors ? createRoutine({ ...options, ...AIRING }) : undefined,
      gains: within.map((device) => ({
        device: stateOf(device.id),
        ailment: afflictions.devices.get(device.id) as DeviceAilment,
        part: 1 - intoWater(device),
      })),
    };
  });
  const byId = new Map(places.map((place) => [place.id, place]));
  const rooms = new Map(places.map(({ id, temperature }) => [id, temperature]));
  const elsewhere: Air = { temperature: 19, fromTanks: 0 };

  function warm(
    place: Place,
    seconds: number,
    outdoors: number,
    night: number,
    open: boolean,
  ): void {
    let gain = place.fromTanks;
    for (const { device, ailment, part } of place.gains) {
      gain += device.watts * (ailment.outOfWater ? 1 : part);
    }
    const around = place.heated
      ? CELLAR.base + CELLAR.perOutdoor * outdoors - NIGHT_INDOORS * night
      : living(outdoors);
    const kept = place.heated ? gain : gain * STAYS;
    // The window and the air between it and the walls let heat through one after the other.
    const draft = open ? (WINDOW * WALLS) / (WINDOW + WALLS) : 0;
    const end = (LOSS * around + draft * outdoors + kept) / (LOSS + draft);
    place.walls = end + (place.walls - end) * Math.exp((-(LOSS + draft) * seconds) / CAPACITY);
    place.temperature = open
      ? (WALLS * place.walls + WINDOW * outdoors) / (WALLS + WINDOW)
      : place.walls;
  }

  return {
    rooms,
    of: (room) => byId.get(room) ?? elsewhere,
    step(at, seconds, outdoors, night) {
      for (const place of places) {
        if (place.outdoors) place.temperature = outdoors;
        else {
          if (place.airing?.due(at) && outdoors > TOO_COLD_TO_AIR) {
            place.airedUntil = later(at, AIRED_FOR);
          }
          const open = place.ailment.windowOpen || at < place.airedUntil;
          warm(place, seconds, outdoors, night, open);
        }
        place.fromTanks = 0;
        rooms.set(place.id, place.temperature);
      }
    },
  };
}

const living = (outdoors: number): number =>
  LIVING.winter +
  (LIVING.summer - LIVING.winter) *
    Math.min(1, Math.max(0, (outdoors - LIVING.from) / (30 - LIVING.from)));
