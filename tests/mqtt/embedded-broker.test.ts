import { connect } from 'node:net';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { type EmbeddedBroker, startEmbeddedBroker } from '../../src/mqtt/index.ts';
import { connected, type LogBook, linkUnderTest, logBook, stopLinks } from './link-under-test.ts';

const SOON = { timeout: 10_000, interval: 10 };

describe('the embedded broker', () => {
  let broker: EmbeddedBroker;
  let book: LogBook;

  beforeEach(async () => {
    book = logBook();
    broker = await startEmbeddedBroker({ port: 0, logger: book.logger });
  });
  afterEach(async () => {
    await stopLinks();
    await broker.stop();
  });

  it('carries messages between links, which are told that it speaks 3.1.1', async () => {
    const under = await connected({ config: broker.target, filters: ['loft/+'] });
    const plug = await connected({
      config: { ...broker.target, client_id: 'plug' },
      filters: [],
    });
    await plug.link.publish('loft/plain', '1', { qos: 0 });
    await plug.link.publish('loft/sure', new TextEncoder().encode('2'));
    await under.hears('loft/plain', '1');
    await under.hears('loft/sure', '2');
    expect(under.link.state.protocol).toBe('3.1.1');
  });

  it('loses no retained or sure message that a plain one overtakes', async () => {
    const under = await connected({ config: broker.target, filters: ['loft/+'] });
    const plug = await connected({
      config: { ...broker.target, client_id: 'plug' },
      filters: [],
    });
    await Promise.all([
      plug.link.publish('loft/kept', '1', { qos: 0, retain: true }),
      plug.link.publish('loft/sure', '2', { qos: 1 }),
      plug.link.publish('loft/plain', '3', { qos: 0 }),
    ]);
    await under.hears('loft/plain', '3');
    await under.hears('loft/kept', '1');
    await under.hears('loft/sure', '2');
  });

  it('is not sent what it would end the connection for', async () => {
    const under = await connected({ config: broker.target });
    for (const topic of ['', 'loft/+', 'loft/#', 'loft\0', 'x'.repeat(65_536)]) {
      const published = under.link.publish(topic, 'x');
      await expect(published, topic).rejects.toMatchObject({ code: 'AMP_MQTT_TOPIC' });
    }
    await under.link.publish('x'.repeat(65_535), 'x');
    expect(under.link.state).toMatchObject({ connection: 'connected', reconnects: 0 });
  });

  it('keeps retained messages for who comes later, and the birth of the daemon', async () => {
    const plug = await connected({
      config: { ...broker.target, client_id: 'plug' },
      root: 'ampulla/heron-loft',
      filters: [],
    });
    await plug.link.publish('loft/counter', '12.5', { retain: true });
    const under = await connected({ config: broker.target });
    expect(await under.hears('loft/counter')).toMatchObject({ text: '12.5', retained: true });
    expect(await under.hears('ampulla/heron-loft/state')).toMatchObject({
      text: 'online',
      retained: true,
    });
  });

  it('comes back on the same port after a stop, and the link with it', async () => {
    const under = await connected({ config: broker.target, filters: ['loft/#'] });
    await broker.stop();
    await vi.waitFor(() => expect(under.link.state.connection).toBe('lost'), SOON);
    broker = await startEmbeddedBroker({ port: broker.port, logger: book.logger });
    await under.link.connected(10_000);
    await under.link.publish('loft/again', 'yes');
    await under.hears('loft/again', 'yes');
  });

  it('says that the port is taken and what to do', async () => {
    const second = startEmbeddedBroker({ port: broker.port, logger: book.logger });
    await expect(second).rejects.toMatchObject({
      code: 'AMP_MQTT_PORT_TAKEN',
      message: expect.stringContaining(String(broker.port)),
      remedy: expect.stringContaining('broker.port'),
    });
  });

  it('tells of broken clients, but not of each one', async () => {
    const rubbish = () =>
      new Promise<void>((resolve) => {
        const socket = connect({ host: '127.0.0.1', port: broker.port });
        socket.on('close', () => resolve());
        socket.on('error', () => {});
        socket.end('GET / HTTP/1.1\r\n\r\n');
      });
    for (let n = 0; n < 5; n += 1) await rubbish();
    await broker.stop();
    const warnings = book.lines.filter((line) => line.level === 'warn');
    expect(warnings).toHaveLength(2);
    expect(warnings[1]?.fields).toEqual({ count: 4 });
  });

  // All of 127/8 is this machine on Linux, but only a listener on every address has all of it.
  it.runIf(process.platform === 'linux')('listens on 127.0.0.1 and nowhere else', async () => {
    const outcome = await new Promise((resolve) => {
      const socket = connect({ host: '127.0.0.2', port: broker.port });
      socket.once('connect', () => resolve('connected'));
      socket.once('error', (error: NodeJS.ErrnoException) => resolve(error.code));
    });
    expect(outcome).toBe('ECONNREFUSED');
  });

  it('is not needed yet for a link to wait for it', async () => {
    const { port } = broker;
    await broker.stop();
    const under = linkUnderTest({ config: broker.target, filters: ['loft/#'] });
    await under.link.start();
    await expect(under.link.connected(30)).rejects.toMatchObject({ code: 'AMP_MQTT_NOT_IN_TIME' });
    broker = await startEmbeddedBroker({ port, logger: book.logger });
    await under.link.connected(10_000);
    expect(under.link.state).toMatchObject({ connection: 'connected', reconnects: 0 });
  });
});
