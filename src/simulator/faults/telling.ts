import { evaporating } from '../evaporation.ts';
import type { HouseSpec } from '../spec.ts';
import { tankHeat } from '../tank-heat.ts';

/** A room that is neither cold nor warm, °C. */
const USUAL_ROOM = 19.5;
const USUAL_HUMIDITY = 0.5;
/** So much warmer than its set point must a stuck heater be able to make a tank, K. */
const SHOWS = 2;

/** Heaters in tanks, on plugs. */
export const tankHeaters = (spec: HouseSpec): string[] =>
  spec.devices
    .filter(({ kind, tank, plug }) => kind === 'heater' && tank !== undefined && plug !== undefined)
    .map(({ id }) => id);

/**
 * Heaters whose failing shows within hours: alone in an indoor tank, needed, and strong enough to
 * overheat it. Where two share the work, the other one makes up for most of it.
 */
export function tellingHeaters(spec: HouseSpec): string[] {
  const outdoors = new Set(spec.rooms.filter((room) => room.outdoors).map(({ id }) => id));
  const heaters = new Set(tankHeaters(spec));
  return spec.devices
    .filter((device) => {
      const tank = spec.tanks.find(({ id }) => id === device.tank);
      if (!heaters.has(device.id) || tank?.set === undefined || outdoors.has(tank.room)) {
        return false;
      }
      const alone = spec.devices.every(
        ({ id, kind, tank: other }) => id === device.id || kind !== 'heater' || other !== tank.id,
      );
      const vapor = evaporating(tank.openWater, tank.set, USUAL_ROOM, USUAL_HUMIDITY);
      const above = (device.watts - vapor) / tankHeat(tank).conductance;
      return alone && tank.set > USUAL_ROOM + SHOWS && USUAL_ROOM + above > tank.set + SHOWS;
    })
    .map(({ id }) => id);
}
