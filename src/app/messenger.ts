import { type Alert, type Recipient, stateBody, type Writer } from '../alerts/index.ts';
import type { Config } from '../config/index.ts';
import type { BrokerLink } from '../mqtt/index.ts';
import {
  type Channel,
  type ChannelHealth,
  type Courier,
  createChannels,
  createCourier,
  type MqttChannel,
} from '../notify/index.ts';
import type { Store } from '../storage/index.ts';
import type { Clock, Logger } from '../units/index.ts';
import { rootOf } from './broker.ts';

/** The channels of the config, and the courier that carries what waits in the store to them. */
export interface Messenger {
  readonly recipients: readonly Recipient[];
  work(): Promise<void>;
  /** How each channel fares. */
  channelHealth(): readonly ChannelHealth[];
  reconfigure(config: Config): void;
  /**
   * Publishes the state of these alerts again: a broker that was started anew may have lost what it
   * kept.
   */
  restate(alerts: readonly Alert[], writer: Writer): void;
  /** Waits for what is on its way, but not for long: it is still in the store. */
  stop(): Promise<void>;
}

/** ms */
const STOP_PATIENCE = 2_000;

export function createMessenger(parts: {
  config: Config;
  store: Store;
  publish: BrokerLink['publish'];
  clock: Clock;
  logger: Logger;
}): Messenger {
  const { store, publish, clock, logger } = parts;
  let channels = channelsOf(parts.config);
  let courier = courierOf();
  let working: Promise<void> = Promise.resolve();
  let swapping: Promise<void> | undefined;

  function channelsOf(config: Config): Channel[] {
    return createChannels(config.notify, { publish, root: rootOf(config), logger });
  }

  function courierOf(): Courier {
    return createCourier({ channels, store, clock, logger });
  }

  return {
    get recipients() {
      return channels;
    },
    work() {
      if (swapping === undefined) working = courier.work();
      return working;
    },
    channelHealth: () => courier.channelHealth(),
    restate(alerts, writer) {
      const mqtt = channels.find((channel) => 'restate' in channel) as MqttChannel | undefined;
      for (const alert of alerts) {
        const body = stateBody(alert, 'opened', writer, clock.now());
        // When it fails there is no connection; the next one brings it.
        mqtt?.restate(alert, body).catch(() => {});
      }
    },
    reconfigure(config) {
      channels = channelsOf(config);
      const next = courierOf();
      // Two couriers at once could carry the same message twice.
      swapping = working.then(() => {
        courier = next;
        swapping = undefined;
      });
    },
    stop: () => Promise.race([working, patience(STOP_PATIENCE)]),
  };
}

const patience = (ms: number): Promise<void> =>
  new Promise((resolve) => {
    setTimeout(resolve, ms).unref();
  });
