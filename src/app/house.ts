import { type Reckonable, reckonable } from '../books/index.ts';
import type { Config } from '../config/index.ts';
import { type MeterSpec, meterSpec } from '../metering/index.ts';
import { compileFeeds, type FeedBook } from '../readings/index.ts';
import { type Share, sharesOf } from '../shares/index.ts';
import { compileTariffs, type TariffBook } from '../tariff/index.ts';
import { Calendar, type Watts } from '../units/index.ts';

/** A config made ready to run: everything that can be worked out before the first message. */
export interface House {
  readonly config: Config;
  readonly calendar: Calendar;
  readonly feeds: FeedBook;
  readonly tariffs: TariffBook;
  /** By plug: how it is metered and which device it feeds. */
  readonly meters: ReadonlyMap<string, HouseMeter>;
  /** Devices without a plug. */
  readonly reckoned: readonly Reckonable[];
  readonly shares: ReadonlyMap<string, readonly Share[]>;
}

export interface HouseMeter {
  readonly spec: MeterSpec;
  readonly device: string;
}

/** Devices that a thermostat switches: a gap is bridged by their mean duty. */
const THERMOSTATIC = new Set(['heater', 'chiller', 'heat-mat', 'room-heater', 'dehumidifier']);
/** From this part of its nameplate on, a device counts as drawing. */
const DRAWING_PART = 0.05;

export function prepareHouse(config: Config): House {
  const calendar = new Calendar(config.site.time_zone);
  const devices = Object.entries(config.devices);
  return {
    config,
    calendar,
    feeds: compileFeeds(config.feeds, {
      plugs: Object.keys(config.plugs),
      probes: Object.keys(config.probes),
    }),
    tariffs: compileTariffs(config.tariffs, calendar),
    meters: new Map(devices.flatMap(([id, device]) => meterOf(id, device, config))),
    reckoned: devices
      .filter(([, device]) => device.plug === undefined)
      .map(([id, device]) => reckonable(id, device, calendar)),
    shares: new Map(devices.map(([id, device]) => [id, sharesOf(device)])),
  };
}

function meterOf(
  id: string,
  device: Config['devices'][string],
  config: Config,
): [string, HouseMeter][] {
  const plug = device.plug === undefined ? undefined : config.plugs[device.plug];
  if (device.plug === undefined || plug === undefined) return [];
  const spec = meterSpec(device.plug, plug, {
    bridge: THERMOSTATIC.has(device.kind) ? 'mean-duty' : 'last-power',
    drawing: Math.max(0.5, device.nameplate_w * DRAWING_PART) as Watts,
  });
  return [[device.plug, { spec, device: id }]];
}
