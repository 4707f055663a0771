import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { parse, stringify } from 'yaml';
import { type ListenOptions, listen } from '../../src/app/listening/listen.ts';
import { loadConfig, parseConfig } from '../../src/config/index.ts';
import { fileSchema } from '../../src/config/schema.ts';
import { type EmbeddedBroker, startEmbeddedBroker } from '../../src/mqtt/index.ts';
import { compileFeeds } from '../../src/readings/index.ts';
import { instant } from '../../src/units/index.ts';
import { connected, logBook, machineClock, stopLinks } from '../mqtt/link-under-test.ts';
import { freePort } from '../mqtt/sockets.ts';

/** A loft in an invented town: one plug is configured, the others are new. */
const configFor = (port: number) => `
site: { id: heron-loft, time_zone: America/Winnipeg, currency: CAD }
broker: { kind: embedded, port: ${port} }
rooms: { loft: {} }
tanks: { tub: { room: loft, volume_l: 90, keep_c: { min: 22, max: 26 } } }
plugs: { tub-heater: {} }
devices: { tub-heater: { kind: heater, nameplate_w: 100, plug: tub-heater, tank: tub } }
feeds:
  known:
    topic: known/{plug}
    values: [{ measure: power, at: /w }]
tariffs: { flat: { valid_from: '2026-01-01', energy: { kind: flat, price_per_kwh: 0.1 } } }
`;

const PAYLOADS: Readonly<Record<string, readonly unknown[]>> = {
  'known/tub-heater': [{ w: 95 }, { w: 0 }],
  'loft/moss-lamp/state': [
    { time: '2026-02-03T10:00:00', meter: { power: 30.1, total_kwh: 12.31, voltage: 121 } },
    { time: '2026-02-03T10:00:01', meter: { power: 30.2, total_kwh: 12.32, voltage: 122 } },
  ],
  'loft/sump-pump/state': [
    { time: '2026-02-03T10:00:00', meter: { power: 22, total_kwh: 81.1, voltage: 121 } },
    { time: '2026-02-03T10:00:01', meter: { power: 23, total_kwh: 81.2, voltage: 121 } },
  ],
  'air/tub/temperature': ['24.1', '24.2'],
  'odd/\u001b[2Jtopic': ['7'],
};

interface Screen {
  readonly isTTY: boolean;
  readonly text: string;
  write(text: string): void;
}

function screen(isTTY: boolean): Screen {
  let text = '';
  return {
    isTTY,
    get text() {
      return text;
    },
    write(more) {
      text += more;
    },
  };
}

describe('ampulla listen', () => {
  let broker: EmbeddedBroker;
  let folder: string;

  beforeEach(async () => {
    folder = mkdtempSync(join(tmpdir(), 'ampulla-listen-'));
    broker = await startEmbeddedBroker({ port: 0, logger: logBook().logger });
  });
  afterEach(async () => {
    await stopLinks();
    await broker.stop();
    rmSync(folder, { recursive: true });
  });

  /** Listens until `payloads` were heard, published once the listener is there. */
  async function listenTo(
    payloads: Readonly<Record<string, readonly unknown[]>>,
    options: ListenOptions,
    isTTY = false,
  ) {
    const [stdout, stderr] = [screen(false), screen(isTTY)];
    const enough = new AbortController();
    const io = { stdout, stderr, env: {}, clock: machineClock, enough: enough.signal };
    const code = listen({ seconds: 30, ...options }, io);
    const outcome = code.catch((error: unknown) => error);
    await vi.waitFor(() => expect(stderr.text).toContain('30 s left, 0 topics'), 10_000);
    const plug = await connected({ config: { ...broker.target, client_id: 'plug' }, filters: [] });
    for (const [topic, values] of Object.entries(payloads)) {
      for (const value of values) {
        await plug.link.publish(topic, typeof value === 'string' ? value : JSON.stringify(value));
      }
    }
    // The broker carries messages in order, so a watcher that came later hears the fence no sooner.
    const fence = await connected({
      config: { ...broker.target, client_id: 'fence' },
      filters: ['fence'],
    });
    await plug.link.publish('fence', 'up');
    await fence.hears('fence');
    enough.abort();
    return { code: await outcome, stdout: stdout.text, stderr: stderr.text };
  }

  function configFile(): string {
    const path = join(folder, 'loft.yaml');
    writeFileSync(path, configFor(broker.port));
    return path;
  }

  it('tells what the numbers are, and which topics no feed reads', async () => {
    const { code, stdout } = await listenTo(PAYLOADS, { config: configFile() });
    expect(code).toBe(0);
    const lines = stdout.split('\n');
    expect(lines).toContain('known/tub-heater  (feed known)');
    expect(lines).toContain('loft/moss-lamp/state  ← no feed reads it');
    expect(lines).toContainEqual(expect.stringMatching(/^ {2}\/meter\/power +30\.2 {2}power in W/));
    expect(lines).toContainEqual(
      expect.stringMatching(/^ {2}\/meter\/total_kwh +12\.32 {2}counter in kWh: sure/),
    );
    expect(lines).toContainEqual(
      expect.stringMatching(/^ {2}\/meter\/voltage +122 {2}voltage in V: sure/),
    );
    expect(lines).toContainEqual(expect.stringMatching(/^ {2}\(bare\) +24\.2 {2}temperature in C/));
    expect(stdout).not.toContain('\u001b');
  });

  it('writes a sketch that the schema accepts and that reads what was heard', async () => {
    const out = join(folder, 'sketch.yaml');
    const { code, stdout } = await listenTo(PAYLOADS, { config: configFile(), out });
    expect(code).toBe(0);
    expect(stdout).toContain(out);
    const base = parse(configFor(broker.port));
    const sketch = parse(readFileSync(out, 'utf8'));
    const merged = fileSchema.parse({
      ...base,
      feeds: { ...base.feeds, ...sketch.feeds },
      plugs: { ...base.plugs, ...sketch.plugs },
      probes: { ...base.probes, ...sketch.probes },
    });
    expect(Object.keys(merged.plugs)).toEqual(
      expect.arrayContaining(['tub-heater', 'moss-lamp', 'sump-pump']),
    );
    const book = compileFeeds(merged.feeds, {
      plugs: Object.keys(merged.plugs),
      probes: Object.keys(merged.probes),
    });
    const readings = Object.entries(PAYLOADS).flatMap(([topic, [value]]) => {
      const text = typeof value === 'string' ? value : JSON.stringify(value);
      const payload = new TextEncoder().encode(text);
      return book.decode({ topic, payload, retained: false, arrived: instant(1.77e12) }).readings;
    });
    expect(readings.map(({ id, measure, value }) => `${id} ${measure} ${value}`)).toEqual(
      expect.arrayContaining([
        'tub-heater power 95',
        'moss-lamp power 30.1',
        'moss-lamp counter 12310',
        'sump-pump power 22',
        'sump-pump counter 81100',
        'tub temperature 24.1',
      ]),
    );
  });

  it('writes, without a config, a whole one that check accepts and that reads what was heard', async () => {
    const out = join(folder, 'new.yaml');
    const { code } = await listenTo(PAYLOADS, { broker: broker.target.url, out });
    expect(code).toBe(0);
    const loaded = loadConfig(out, {});
    expect(loaded.ok ? [] : loaded.problems).toEqual([]);
    if (!loaded.ok) return;
    expect(loaded.config.broker).toMatchObject({ kind: 'external', url: broker.target.url });
    expect(Object.keys(loaded.config.plugs)).toContain('moss-lamp');
    expect(Object.keys(loaded.config.probes)).toContain('tub');
  });

  it('merges into the config it was told of, and check accepts the whole', async () => {
    const out = join(folder, 'sketch.yaml');
    await listenTo(PAYLOADS, { config: configFile(), out });
    const base = parse(configFor(broker.port));
    const sketch = parse(readFileSync(out, 'utf8'));
    const merged = Object.fromEntries(
      ['feeds', 'plugs', 'probes'].map((part) => [part, { ...base[part], ...sketch[part] }]),
    );
    const loaded = parseConfig(stringify({ ...base, ...merged }), 'merged.yaml', {});
    expect(loaded.ok ? [] : loaded.problems).toEqual([]);
  });

  it('needs no config, shows its progress in one line of a terminal, and hears itself not', async () => {
    const { code, stdout, stderr } = await listenTo(
      { 'air/tub/temperature': ['24.1'], 'ampulla/heron-loft/state': ['online'] },
      { broker: broker.target.url, topic: '#' },
      true,
    );
    expect(code).toBe(0);
    expect(stdout).toContain('air/tub/temperature\n');
    expect(stdout).not.toContain('heron-loft');
    expect(stdout).not.toContain('no feed reads it');
    expect(parse(stdout.slice(stdout.indexOf('feeds:'))).feeds).toBeDefined();
    expect(stderr.startsWith('\r\u001b[2K30 s left, 0 topics, 0 messages')).toBe(true);
    expect(stderr).toMatch(/s left, 2 topics, 2 messages\n$/);
  });

  it('stays within its memory on a busy broker, and says what did not fit', async () => {
    const crowd = Object.fromEntries(
      Array.from({ length: 40 }, (_, n) => [
        `crowd/${n}`,
        [Object.fromEntries(Array.from({ length: 150 }, (_, key) => [`k${key}`, n + key]))],
      ]),
    );
    const { code, stdout } = await listenTo(crowd, { broker: broker.target.url });
    expect(code).toBe(0);
    expect(stdout).toContain('Not all numbers fitted into memory');
  });

  it('says so when nothing was heard', async () => {
    const [stdout, stderr] = [screen(false), screen(false)];
    const io = { stdout, stderr, env: {}, clock: machineClock };
    expect(await listen({ broker: broker.target.url, seconds: 0.05 }, io)).toBe(1);
    expect(stderr.text).toContain("Nothing was heard on '#'");
    expect(stdout.text).toBe('');
  });

  it('says what is wrong with its options before it listens', async () => {
    const io = { stdout: screen(false), stderr: screen(false), env: {}, clock: machineClock };
    const { url } = broker.target;
    const there = configFile();
    const wrong: [ListenOptions, string][] = [
      [{}, 'AMP_LISTEN_BROKER'],
      [{ broker: url, seconds: -1 }, 'AMP_LISTEN_SECONDS'],
      [{ broker: url, seconds: Number.NaN }, 'AMP_LISTEN_SECONDS'],
      [{ broker: url, out: there }, 'AMP_LISTEN_OUT'],
      [{ broker: url, passwordFile: join(folder, 'none') }, 'AMP_LISTEN_PASSWORD'],
      [{ broker: url, topic: 'a/#/b' }, 'AMP_LISTEN_TOPIC'],
      [{ broker: 'loft.example' }, 'AMP_MQTT_URL'],
      [{ broker: `mqtt://127.0.0.1:${await freePort()}` }, 'AMP_MQTT_UNREACHABLE'],
    ];
    for (const [options, code] of wrong) {
      await expect(listen(options, io), code).rejects.toMatchObject({ code });
    }
    expect(readFileSync(there, 'utf8')).toBe(configFor(broker.port));
  });

  it('refuses a config with errors, and tells them', async () => {
    const stderr = screen(false);
    const io = { stdout: screen(false), stderr, env: {}, clock: machineClock };
    const config = join(folder, 'broken.yaml');
    writeFileSync(config, configFor(1883).replace('volume_l: 90', 'volume_l: many'));
    expect(await listen({ config }, io)).toBe(78);
    expect(stderr.text).toContain('volume_l');
  });
});
