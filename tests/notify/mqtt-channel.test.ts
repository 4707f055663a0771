import { describe, expect, it } from 'vitest';
import { createMqttChannel } from '../../src/notify/index.ts';
import { millis } from '../../src/units/index.ts';
import { delivery } from './keeping.ts';

const sent = delivery({ channel: 'mqtt', change: 'closed', body: '{"state":"closed"}' });

describe('alerts over MQTT', () => {
  it('are retained states below the daemon’s own topic', async () => {
    const published: unknown[][] = [];
    const channel = createMqttChannel({
      publish: async (...args) => void published.push(args),
      root: 'ampulla/den',
    });
    expect(channel).toMatchObject({ name: 'mqtt', takes: 'states' });
    expect(await channel.send(sent)).toEqual({ kind: 'delivered' });
    expect(published).toEqual([
      ['ampulla/den/alerts/heater-stuck-on/device/h1', sent.body, { retain: true, qos: 1 }],
    ]);
  });

  it('can be stated again for a broker that has lost them', async () => {
    const published: unknown[][] = [];
    const channel = createMqttChannel({
      publish: async (...args) => void published.push(args),
      root: 'r',
    });
    await channel.restate({ id: sent.alert }, 'body');
    expect(published.map(([topic, payload]) => [topic, payload])).toEqual([
      ['r/alerts/heater-stuck-on/device/h1', 'body'],
    ]);
  });

  it('wait while the broker is away, without a thrown error', async () => {
    const channel = createMqttChannel({
      publish: () => Promise.reject(new Error('not connected')),
      root: 'r',
    });
    expect(await channel.send(sent)).toEqual({ kind: 'failed', why: 'not connected' });
    const throwing = createMqttChannel({
      publish: () => {
        throw new Error('closing');
      },
      root: 'r',
    });
    expect(await throwing.send(sent)).toEqual({ kind: 'failed', why: 'closing' });
  });

  it('wait when the broker never acknowledges', async () => {
    const channel = createMqttChannel({
      publish: () => new Promise(() => {}),
      root: 'r',
      patience: millis(20),
    });
    expect(await channel.send(sent)).toEqual({
      kind: 'failed',
      why: 'no acknowledgment within 0.02 s',
    });
  });
});
