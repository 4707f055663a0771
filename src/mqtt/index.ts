export type { BackOff } from './back-off.ts';
export type {
  BrokerLink,
  LinkOptions,
  LinkState,
  LinkTarget,
  PublishOptions,
} from './contract.ts';
export { type EmbeddedBroker, startEmbeddedBroker } from './embedded-broker/index.ts';
export { createBrokerLink } from './link.ts';
export type { Protocol } from './protocol.ts';
