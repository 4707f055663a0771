import type { Recipient } from '../alerts/index.ts';
import type { Config } from '../config/index.ts';
import type { BrokerLink } from '../mqtt/index.ts';
import {
  type Channel,
  type Courier,
  createCourier,
  createMqttChannel,
  createWebhook,
} from '../notify/index.ts';
import type { Store } from '../storage/index.ts';
import type { Clock, Logger } from '../units/index.ts';
import { rootOf } from './broker.ts';

/** The channels of the config, and the courier that carries what waits in the store to them. */
export interface Messenger {
  readonly recipients: readonly Recipient[];
  work(): Promise<void>;
  reconfigure(config: Config): void;
  /** Waits for what is on its way. */
  stop(): Promise<void>;
}

export function createMessenger(parts: {
  config: Config;
  store: Store;
  link: BrokerLink;
  clock: Clock;
  logger: Logger;
}): Messenger {
  const { store, link, clock, logger } = parts;
  let channels = channelsOf(parts.config);
  let courier = courierOf();
  let working: Promise<void> = Promise.resolve();

  function channelsOf(config: Config): Channel[] {
    const channels: Channel[] = Object.entries(config.notify.webhooks).map(([id, webhook]) =>
      createWebhook(id, webhook, { logger }),
    );
    if (config.notify.mqtt.enabled) {
      channels.push(createMqttChannel({ publish: link.publish, root: rootOf(config) }));
    }
    return channels;
  }

  function courierOf(): Courier {
    return createCourier({ channels, store, clock, logger });
  }

  return {
    get recipients() {
      return channels;
    },
    work() {
      working = courier.work();
      return working;
    },
    reconfigure(config) {
      channels = channelsOf(config);
      const next = courierOf();
      // Two couriers at once could carry the same message twice.
      working = working.then(() => {
        courier = next;
      });
    },
    stop: () => working,
  };
}
