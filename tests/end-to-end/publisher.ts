import { connectAsync, type MqttClient } from 'mqtt';

export interface Publisher {
  readonly client: MqttClient;
  /** QoS 1 unless told: resolves when the broker has it. */
  publish(topic: string, payload: string, qos?: 0 | 1): Promise<void>;
  stop(): Promise<void>;
}

/** A plug's end of the wire: an MQTT client that keeps trying. */
export async function publisherTo(port: number): Promise<Publisher> {
  const client = await connectAsync(`mqtt://127.0.0.1:${port}`, {
    protocolVersion: 4,
    reconnectPeriod: 50,
    reconnectOnConnackError: true,
  });
  client.on('error', () => {});
  return {
    client,
    async publish(topic, payload, qos = 1) {
      await client.publishAsync(topic, payload, { qos });
    },
    stop: () => client.endAsync(true),
  };
}
