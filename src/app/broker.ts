import type { Config } from '../config/index.ts';
import {
  type BrokerLink,
  createBrokerLink,
  type LinkState,
  startEmbeddedBroker,
} from '../mqtt/index.ts';
import type { Message } from '../readings/index.ts';
import type { Clock, Logger } from '../units/index.ts';

export interface Broker {
  readonly link: BrokerLink;
  readonly port: number | undefined;
  start(): Promise<void>;
  stop(): Promise<void>;
}

/** The topics below which the daemon speaks of itself. */
export const rootOf = (config: Config): string =>
  config.publish.root ?? `ampulla/${config.site.id}`;

/** The link to the keeper's broker, or to one that is started here for it. */
export async function openBroker(parts: {
  config: Config;
  filters: readonly string[];
  /** What an earlier run was subscribed to; a session that the broker kept still is. */
  formerFilters: readonly string[];
  clock: Clock;
  logger: Logger;
  receive: (message: Message) => void;
  /** There is a connection, the first one or a new one. */
  onConnected: () => void;
}): Promise<Broker> {
  const { config, onConnected, ...rest } = parts;
  const { broker } = config;
  let connection: LinkState['connection'] = 'connecting';
  const common = {
    ...rest,
    siteId: config.site.id,
    root: rootOf(config),
    onState(state: LinkState) {
      const isNew = state.connection === 'connected' && connection !== 'connected';
      connection = state.connection;
      if (isNew) onConnected();
    },
  };
  if (broker.kind === 'external') {
    const link = createBrokerLink({ ...common, config: broker });
    return { link, port: undefined, start: () => link.start(), stop: () => link.stop() };
  }
  const embedded = await startEmbeddedBroker({ port: broker.port, logger: parts.logger });
  const link = createBrokerLink({ ...common, config: embedded.target });
  return {
    link,
    port: embedded.port,
    async start() {
      await link.start();
      await link.connected(10_000);
    },
    async stop() {
      await link.stop();
      await embedded.stop();
    },
  };
}
