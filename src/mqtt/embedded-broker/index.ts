export { type EmbeddedBroker, startEmbeddedBroker } from './broker.ts';
