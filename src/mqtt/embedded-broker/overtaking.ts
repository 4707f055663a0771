import type { Aedes } from 'aedes';

/**
 * Keeps aedes 1.2 from losing messages that are overtaken. It numbers messages as they come and,
 * lest overlapping subscriptions hear one twice, hands a client only numbers above the last one.
 * But a retained or QoS 1 message takes a turn through its store, a plain one does not: the later
 * one arrives first, and the earlier is taken for a repetition and dropped (issue 994 there).
 *
 * Here every number counts as above the last. A client whose filters overlap may then hear a
 * message once for each of them, as the standard allows (MQTT 3.1.1, 3.3.5).
 */
export function allowOvertaking(broker: Aedes): void {
  broker.on('client', (client) => {
    const seen = Object.defineProperty({}, broker.id, { get: () => 0, set: () => {} });
    Object.assign(client, { duplicates: seen });
  });
}
