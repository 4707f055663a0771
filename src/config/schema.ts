import { z } from 'zod';
import { alertsConfig } from '../alerts/config.ts';
import { deviceConfig, householdConfig } from '../books/config.ts';
import { roomConfig, tankConfig } from '../heat/config.ts';
import { plugConfig } from '../metering/config.ts';
import { brokerConfig, publishConfig } from '../mqtt/config.ts';
import { notifyConfig } from '../notify/config.ts';
import { feedsConfig, priceFeedsConfig, probeConfig } from '../readings/config.ts';
import { storeConfig } from '../storage/config.ts';
import { tariffsConfig } from '../tariff/config.ts';
import { logConfig } from '../telemetry/config.ts';
import { id, siteConfig } from '../units/config.ts';
import { watchesConfig } from '../watches/config.ts';
import { webConfig } from '../web/config.ts';

/** The whole file. Free of transforms, so that it exports as JSON Schema. */
export const fileSchema = z.strictObject({
  site: siteConfig,
  broker: brokerConfig.default({ kind: 'embedded', port: 1883 }),
  publish: publishConfig.prefault({}),
  store: storeConfig.prefault({}),
  web: webConfig.prefault({}),
  log: logConfig.prefault({}),
  rooms: z.record(id, roomConfig),
  tanks: z.record(id, tankConfig),
  probes: z.record(id, probeConfig).default({}),
  plugs: z.record(id, plugConfig).default({}),
  devices: z.record(id, deviceConfig),
  feeds: feedsConfig.default({}),
  price_feeds: priceFeedsConfig.default({}),
  tariffs: tariffsConfig,
  household: householdConfig.prefault({}),
  watches: watchesConfig.prefault({}),
  alerts: alertsConfig,
  notify: notifyConfig.prefault({}),
});

/** The checked configuration: as the file has it, defaults filled in, secrets resolved, frozen. */
export type Config = Readonly<z.infer<typeof fileSchema>>;
