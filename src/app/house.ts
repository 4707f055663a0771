import { type AccountBasis, type Reckonable, reckonable, stripOf } from '../books/index.ts';
import type { Config } from '../config/index.ts';
import { type MeterSpec, meterSpec } from '../metering/index.ts';
import {
  compileFeeds,
  compilePriceFeeds,
  type FeedBook,
  type PriceFeedBook,
} from '../readings/index.ts';
import type { Calendar, Watts } from '../units/index.ts';
import { basisOf, type Terms, termsOf } from './terms.ts';

/** A config made ready to run: everything that can be worked out before the first message. */
export interface House {
  readonly config: Config;
  /** What its accounts rest on, as plain data and made ready. */
  readonly terms: Terms;
  readonly basis: AccountBasis;
  readonly calendar: Calendar;
  readonly feeds: FeedBook;
  readonly priceFeeds: PriceFeedBook;
  /** MQTT topic filters to subscribe to. */
  readonly filters: readonly string[];
  /** By plug: how it is metered and whose entries it makes. */
  readonly meters: ReadonlyMap<string, HouseMeter>;
  /** Devices without a plug. */
  readonly reckoned: readonly Reckonable[];
}

export interface HouseMeter {
  readonly spec: MeterSpec;
  /** The device it feeds, or `stripOf` the plug. */
  readonly device: string;
}

/** Devices that a thermostat switches: a gap is bridged by their mean duty. */
const THERMOSTATIC = new Set(['heater', 'chiller', 'heat-mat', 'room-heater', 'dehumidifier']);
/** From this part of its nameplate on, a device counts as drawing. */
const DRAWING_PART = 0.05;

export function prepareHouse(config: Config): House {
  const terms = termsOf(config);
  const basis = basisOf(terms);
  const { calendar } = basis;
  const feeds = compileFeeds(config.feeds, {
    plugs: Object.keys(config.plugs),
    probes: Object.keys(config.probes),
  });
  const priceFeeds = compilePriceFeeds(config.price_feeds);
  return {
    config,
    terms,
    basis,
    calendar,
    feeds,
    priceFeeds,
    filters: [...feeds.filters, ...priceFeeds.filters],
    meters: metersOf(config, basis),
    reckoned: Object.entries(config.devices)
      .filter(([, device]) => device.plug === undefined)
      .map(([id, device]) => reckonable(id, device, calendar)),
  };
}

/** Each plug that feeds something: one device, or as a strip several, whose books divide its energy. */
function metersOf(
  { plugs, devices }: Config,
  { strips, calendar }: AccountBasis,
): Map<string, HouseMeter> {
  const meters = new Map<string, HouseMeter>();
  for (const [plug, { devices: ids, remainder }] of strips) {
    const config = plugs[plug];
    if (config === undefined) continue;
    const fed = ids.map((id) => devices[id] as Config['devices'][string]);
    const least = Math.min(...fed.map(({ nameplate_w: rated }) => rated));
    const spec = meterSpec(
      plug,
      config,
      {
        bridge: fed.some(({ kind }) => THERMOSTATIC.has(kind)) ? 'mean-duty' : 'last-power',
        drawing: Math.max(0.5, least * DRAWING_PART) as Watts,
      },
      calendar.zone,
    );
    meters.set(plug, { spec, device: ids.length > 1 ? stripOf(plug) : remainder });
  }
  return meters;
}
