import { heatIntoWater, type WarmingDevice } from '../heat/index.ts';
import { inUse } from '../watches/index.ts';
import type { House } from './house.ts';

/** The devices that are a tank's alone, now and always: what they draw says something of its heat. */
export interface OwnDevices {
  readonly devices: readonly WarmingDevice[];
  /** All its heaters together, W. */
  readonly heaterW: number;
}

/** By tank; those without any device of their own are left out. */
export function ownDevices({ config, basis }: House): ReadonlyMap<string, OwnDevices> {
  const own = new Map<string, { devices: WarmingDevice[]; heaterW: number }>();
  for (const [id, device] of Object.entries(config.devices)) {
    const { tank, kind, plug, moved, nameplate_w: rated } = device;
    if (tank === undefined || moved !== undefined || !inUse(device, undefined)) continue;
    const known = own.get(tank) ?? { devices: [], heaterW: 0 };
    own.set(tank, known);
    known.devices.push({
      id,
      heater: kind === 'heater',
      intoWater: heatIntoWater(device),
      metered: plug !== undefined && basis.strips.get(plug)?.devices.length === 1,
    });
    if (kind === 'heater') known.heaterW += rated;
  }
  return own;
}
