import { heatIntoWater, type WarmingDevice } from '../heat/index.ts';
import { inUse } from '../watches/index.ts';
import type { House } from './house.ts';

/** The devices that are a tank's alone, now and always: what they draw says something of its heat. */
export interface OwnDevices {
  readonly devices: readonly WarmingDevice[];
  /** All its heaters together, W. */
  readonly heaterW: number;
}

export function ownDevices(tank: string, { config, basis }: House): OwnDevices {
  const own = Object.entries(config.devices).filter(
    ([, device]) => device.tank === tank && device.moved === undefined && inUse(device, undefined),
  );
  return {
    devices: own.map(([id, device]) => ({
      id,
      heater: device.kind === 'heater',
      intoWater: heatIntoWater(device),
      metered: device.plug !== undefined && basis.strips.get(device.plug)?.devices.length === 1,
    })),
    heaterW: own.reduce(
      (sum, [, { kind, nameplate_w: rated }]) => sum + (kind === 'heater' ? rated : 0),
      0,
    ),
  };
}
