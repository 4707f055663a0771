import { afterAll, afterEach, beforeAll, expect, it, vi } from 'vitest';
import { connected, linkUnderTest, stopLinks } from './link-under-test.ts';
import { createMosquitto, describeWithMosquitto, type Mosquitto } from './mosquitto.ts';
import { type Wire, wireTo } from './sockets.ts';

const USER = 'loft-daemon';
const PASSWORD = 'seven-green-herons';
const WRONG = 'six-gray-herons';
const SOON = { timeout: 10_000, interval: 10 };

describeWithMosquitto('a link to a mosquitto broker', () => {
  let mosquitto: Mosquitto;
  let wire: Wire;

  beforeAll(async () => {
    mosquitto = await createMosquitto(USER, PASSWORD);
    await mosquitto.start();
    wire = await wireTo(mosquitto.openPort);
  });
  afterEach(async () => {
    await stopLinks();
    wire.mend();
  });
  afterAll(async () => {
    await wire?.close();
    await mosquitto?.remove();
  });

  const withPassword = () => ({
    url: `mqtt://127.0.0.1:${mosquitto.port}`,
    user: USER,
    password: PASSWORD,
  });
  const throughWire = (clientId: string) => ({
    url: `mqtt://127.0.0.1:${wire.port}`,
    client_id: clientId,
  });
  const publishOpen = (...args: string[]) =>
    mosquitto.publish('-p', `${mosquitto.openPort}`, ...args);
  const publishAsUser = (...args: string[]) =>
    mosquitto.publish('-p', `${mosquitto.port}`, '-u', USER, '-P', PASSWORD, ...args);

  it('speaks MQTT 5 and hears the command-line publisher with user and password', async () => {
    const under = await connected({ config: withPassword() });
    await publishAsUser('-t', 'loft/tub/temperature', '-m', '21.4');
    expect(await under.hears('loft/tub/temperature')).toEqual({
      topic: 'loft/tub/temperature',
      text: '21.4',
      retained: false,
    });
    expect(under.link.state).toMatchObject({
      connection: 'connected',
      protocol: '5',
      trouble: undefined,
      reconnects: 0,
    });
    expect(under.link.state.lastMessage).toBeGreaterThan(0);
  });

  it('hears over TLS with the authority from a file', async () => {
    const under = await connected({
      config: {
        ...withPassword(),
        url: `mqtts://127.0.0.1:${mosquitto.tlsPort}`,
        ca_file: mosquitto.authorityFile,
      },
    });
    await mosquitto.publish(
      ...['-p', `${mosquitto.tlsPort}`, '--cafile', mosquitto.authorityFile],
      ...['-u', USER, '-P', PASSWORD, '-t', 'loft/secure', '-m', 'yes', '-q', '1'],
    );
    expect((await under.hears('loft/secure')).text).toBe('yes');
  });

  it('does not trust a broker whose authority it does not know', async () => {
    const under = linkUnderTest({
      config: { ...withPassword(), url: `mqtts://127.0.0.1:${mosquitto.tlsPort}` },
    });
    await under.link.start();
    await vi.waitFor(() => {
      expect(under.link.state.trouble).toMatchObject({
        code: 'AMP_MQTT_TLS',
        remedy: expect.stringContaining('ca_file'),
      });
    }, SOON);
    expect(under.link.state.connection).toBe('connecting');
  });

  it('says that a wrong password is refused, tells no secret, and recovers when it is right', async () => {
    const under = linkUnderTest({ config: { ...withPassword(), password: WRONG } });
    await under.link.start();
    await vi.waitFor(() => expect(under.link.state.trouble?.code).toBe('AMP_MQTT_REFUSED'), SOON);
    expect(under.link.state.trouble?.remedy).toContain('broker.password');
    await expect(under.link.connected(20)).rejects.toMatchObject({
      code: 'AMP_MQTT_NOT_IN_TIME',
      message: expect.stringMatching(/not authorized|user/i),
    });

    mosquitto.setPassword(USER, WRONG);
    await mosquitto.stop();
    await mosquitto.start();
    await under.link.connected(10_000);
    expect(under.link.state.trouble).toBeUndefined();

    mosquitto.setPassword(USER, PASSWORD);
    await mosquitto.stop();
    await mosquitto.start();
    await vi.waitFor(() => expect(under.link.state.trouble?.code).toBe('AMP_MQTT_REFUSED'), SOON);
    const told = JSON.stringify([under.lines, under.link.state.trouble]);
    expect(told).toContain('AMP_MQTT_REFUSED');
    expect(told).not.toContain(WRONG);
    expect(told).not.toContain(USER);
  });

  it('subscribes again and hears again after the broker was killed and restarted', async () => {
    const under = await connected({ config: withPassword(), filters: ['loft/+/power'] });
    await mosquitto.stop('SIGKILL');
    await vi.waitFor(() => expect(under.link.state.connection).toBe('lost'), SOON);
    await expect(under.link.publish('loft/own', 'x')).rejects.toMatchObject({
      code: 'AMP_MQTT_NOT_CONNECTED',
    });
    await vi.waitFor(
      () => expect(under.link.state.trouble?.code).toBe('AMP_MQTT_UNREACHABLE'),
      SOON,
    );
    await mosquitto.start();
    await under.link.connected(10_000);
    await publishAsUser('-t', 'loft/tub/power', '-m', '95');
    await under.hears('loft/tub/power', '95');
    expect(under.link.state).toMatchObject({ connection: 'connected', reconnects: 1 });
  });

  it('notices a wire gone dead and comes back over a new connection', async () => {
    const under = await connected({
      config: { ...throughWire('half-open'), silence_limit_s: 1 },
    });
    wire.deaden();
    await vi.waitFor(() => expect(under.link.state.reconnects).toBe(1), SOON);
    await under.link.connected(10_000);
    await publishOpen('-t', 'loft/after', '-m', 'back');
    await under.hears('loft/after', 'back');
  });

  it.each(['5', '3.1.1'] as const)(
    'misses no QoS 1 message sent while it was away for a while, in version %s',
    async (protocol) => {
      const under = await connected({ config: { ...throughWire(`away-${protocol}`), protocol } });
      wire.sever();
      await vi.waitFor(() => expect(under.link.state.connection).toBe('lost'), SOON);
      await publishOpen('-q', '1', '-t', 'loft/meanwhile', '-m', protocol);
      wire.mend();
      await under.hears('loft/meanwhile', protocol);

      await under.link.stop();
      await publishOpen('-q', '1', '-t', 'loft/restarting', '-m', protocol);
      const next = await connected({ config: { ...throughWire(`away-${protocol}`), protocol } });
      await next.hears('loft/restarting', protocol);
    },
  );

  it.each(['5', '3.1.1'] as const)(
    'acknowledges a QoS 1 message only when receive has resolved, in version %s',
    async (protocol) => {
      const config = { ...throughWire(`slow-${protocol}`), protocol };
      const takenIn: (() => void)[] = [];
      const under = await connected({
        config,
        filters: ['loft/slow'],
        receive: () => new Promise((resolve) => takenIn.push(resolve)),
      });
      await publishOpen('-q', '1', '-t', 'loft/slow', '-m', 'counter');
      await under.hears('loft/slow', 'counter');
      wire.cut();
      // Not acknowledged: the broker sends it again on the next connection.
      await vi.waitFor(() => expect(takenIn).toHaveLength(2), SOON);
      for (const resolve of takenIn) resolve();
      await under.link.stop();

      // Acknowledged now: what comes on the next connection is new.
      const next = await connected({ config, filters: ['loft/slow'] });
      await publishOpen('-q', '1', '-t', 'loft/slow', '-m', 'later');
      await next.hears('loft/slow', 'later');
      expect(next.heard).toHaveLength(1);
    },
  );

  it('announces itself, leaves a last will, and says good-bye', async () => {
    const root = 'ampulla/heron-loft';
    const watcher = await connected({
      config: { url: `mqtt://127.0.0.1:${mosquitto.openPort}`, client_id: 'watcher' },
      filters: [`${root}/state`],
    });
    const words = () => watcher.heard.map((one) => one.text);
    const under = await connected({ config: throughWire('with-will'), root, filters: [] });
    await vi.waitFor(() => expect(words()).toEqual(['online']), SOON);
    wire.cut();
    await vi.waitFor(() => expect(words()).toEqual(['online', 'offline', 'online']), SOON);
    await under.link.stop();
    expect(under.link.state.connection).toBe('stopped');
    await vi.waitFor(
      () => expect(words()).toEqual(['online', 'offline', 'online', 'offline']),
      SOON,
    );
    const late = await connected({
      config: { url: `mqtt://127.0.0.1:${mosquitto.openPort}`, client_id: 'late' },
      filters: [`${root}/state`],
    });
    expect(await late.hears(`${root}/state`)).toMatchObject({ text: 'offline', retained: true });
  });

  it('passes the retained flag on', async () => {
    await publishOpen('-r', '-t', 'loft/kept', '-m', '1234');
    const under = await connected({
      config: { url: `mqtt://127.0.0.1:${mosquitto.openPort}`, session: 'fresh' },
      filters: ['loft/kept'],
    });
    expect(await under.hears('loft/kept', '1234')).toMatchObject({ retained: true });
    await publishOpen('-r', '-t', 'loft/kept', '-m', '1235');
    expect(await under.hears('loft/kept', '1235')).toMatchObject({ retained: false });
    await publishOpen('-r', '-t', 'loft/kept', '-n');
  });

  it('replaces its filters, and gives up those of an earlier run', async () => {
    const config = throughWire('choosy');
    const first = await connected({ config, filters: ['loft/old', 'loft/kept'] });
    await first.link.stop();
    const under = await connected({ config, filters: ['loft/a'], formerFilters: ['loft/old'] });
    await under.link.subscribe(['loft/b']);
    for (const topic of ['loft/old', 'loft/a', 'loft/b']) {
      await publishOpen('-q', '1', '-t', topic, '-m', 'x');
    }
    await under.hears('loft/b');
    wire.sever();
    await vi.waitFor(() => expect(under.link.state.connection).toBe('lost'), SOON);
    await under.link.subscribe(['loft/c']);
    wire.mend();
    await under.link.connected(10_000);
    for (const topic of ['loft/b', 'loft/c']) await publishOpen('-q', '1', '-t', topic, '-m', 'y');
    await under.hears('loft/c');
    // A set, as the broker sends 'x' again where the wire was severed before our acknowledgment.
    const heard = new Set(under.heard.map((one) => `${one.topic} ${one.text}`));
    expect([...heard]).toEqual(['loft/b x', 'loft/c y']);
  });
});
