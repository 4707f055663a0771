import { mkdirSync, writeFileSync } from 'node:fs';
import type { Server } from 'node:net';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterEach, describe, expect, it, vi } from 'vitest';
import type { Delivery } from '../../src/alerts/index.ts';
import { emptyBatch, openStore } from '../../src/storage/index.ts';
import { instant } from '../../src/units/index.ts';
import { serve } from '../mqtt/sockets.ts';
import { endChildren, IN_TIME, pageText, runCli, startChild } from './daemon.ts';
import { cabin } from './house.ts';
import { publisherTo } from './publisher.ts';
import { createSite, type Site } from './site.ts';

const sites: Site[] = [];
function newSite(...config: Parameters<typeof createSite>): Site {
  const site = createSite(...config);
  sites.push(site);
  return site;
}

afterEach(async () => {
  await endChildren();
  for (const site of sites.splice(0)) site.remove();
});

const connections = (server: Server): Promise<number> =>
  promisify<number>((done) => server.getConnections(done))();

/** A message of an earlier run that has not got through yet. */
const waiting: Delivery = {
  id: 'tank-too-cold:tank/tide-pool:2026-02-03T14:00:00.000Z/opened/webhook-bell',
  alert: 'tank-too-cold:tank/tide-pool:2026-02-03T14:00:00.000Z',
  change: 'opened',
  channel: 'webhook-bell',
  body: '{}',
  created: instant(Date.UTC(2026, 1, 3, 14, 0)),
  attempts: 0,
  due: instant(Date.UTC(2026, 1, 3, 14, 0)),
  state: 'waiting',
  lastError: undefined,
};

const WITH_FIVE_MISTAKES = `site:
  id: tern-cabin
  time_zone: America/Atlantis
  currency: CAD
broker: { kind: embedded, port: 0 }
rooms:
  loft: {}
tanks:
  tide-pool:
    room: cellar
    volume_l: 120
    keep_c: { min: 28, max: 22 }
devices:
  tide-heater: { kind: kettle, nameplate_w: 200, tank: tide-pool }
tariffs:
  first: { valid_from: '2010-01-01', energy: { kind: flat, price_per_kwh: 0.2 } }
watch_dogs: {}
`;

describe('ampulla check', () => {
  it('tells five mistakes in five lines, each with its place, and exits 78', async () => {
    const site = newSite(WITH_FIVE_MISTAKES);
    const { code, stderr, stdout } = await runCli('check', site.file).ends();
    expect(stdout).toBe('');
    const lines = stderr.trimEnd().split('\n');
    expect(lines.every((line) => line.startsWith(`${site.file}:`))).toBe(true);
    const places = lines.map((line) => /:(\d+):\d+ {2}AMP_CONFIG_\w+ {2}(.*?):/.exec(line));
    expect(places.map((place) => place?.slice(1, 3))).toEqual([
      ['3', 'site.time_zone'],
      ['10', 'tanks.tide-pool.room'],
      ['12', 'tanks.tide-pool.keep_c'],
      ['14', 'devices.tide-heater.kind'],
      ['17', 'watch_dogs'],
    ]);
    expect(code).toBe(78);
  });

  it.each(['config/starter.yaml', 'config/fish-room.yaml'])(
    'says what would run of %s, and exits 0',
    async (example) => {
      const { code, stderr, stdout } = await runCli('check', example).ends();
      expect(stderr).toBe('');
      expect(stdout).toContain('tariffs');
      expect(code).toBe(0);
    },
  );

  it('tells a file that is not there as a mistake, and exits 78', async () => {
    const { code, stderr } = await runCli('check', '/no/such/ampulla.yaml').ends();
    expect(stderr).toContain('/no/such/ampulla.yaml:1:1  AMP_CONFIG_READ');
    expect(code).toBe(78);
  });
});

describe('ampulla', () => {
  it.each([
    { args: [], says: 'ampulla start FILE' },
    { args: ['prune'], says: "there is no command 'prune'" },
    { args: ['start'], says: 'AMP_APP_USAGE: start takes one configuration file' },
    { args: ['check', 'one.yaml', 'two.yaml'], says: 'ampulla check FILE' },
    { args: ['start', '--loudly'], says: "Unknown option '--loudly'" },
    { args: ['demo', '--fault', 'gremlin'], says: 'use one of stuck-on' },
  ])('called as $args says how it is used, and exits 64', async ({ args, says }) => {
    const { code, stderr, stdout } = await runCli(...args).ends();
    expect(`${stdout}${stderr}`).toContain(says);
    expect(code).toBe(64);
  });
});

describe('ampulla start', () => {
  it('refuses a configuration with mistakes as check does, and makes no store', async () => {
    const site = newSite(WITH_FIVE_MISTAKES);
    const { code, stderr } = await startChild(site).ends();
    expect(stderr.trimEnd().split('\n')).toHaveLength(5);
    expect(code).toBe(78);
    expect(site.integrity).toThrow();
  });

  it('ends with a coded error when the page’s port is taken', async () => {
    const other = await serve(() => {});
    const site = newSite({ ...cabin, web: { port: other.port } });
    const { code, stderr } = await startChild(site).ends();
    await other.close();
    expect(stderr).toContain(
      `AMP_WEB_PORT_TAKEN: cannot serve the page on 127.0.0.1:${other.port}`,
    );
    expect(stderr).toContain('web.port');
    expect(code).toBe(70);
  });

  it('ends with a coded error when the broker’s port is taken', async () => {
    const other = await serve(() => {});
    const site = newSite({ ...cabin, broker: { kind: 'embedded', port: other.port } });
    const { code, stderr } = await startChild(site).ends();
    await other.close();
    expect(stderr).toContain('AMP_MQTT_PORT_TAKEN');
    expect(stderr).toContain('broker.kind');
    expect(code).toBe(70);
  });

  it('ends with a coded error where it cannot keep its books', async () => {
    const site = newSite({ ...cabin, store: { file: 'no-such-folder/ampulla.db' } });
    const { code, stderr } = await startChild(site).ends();
    expect(stderr).toMatch(/AMP_STORE_\w+: .*no-such-folder/);
    expect(code).toBe(70);
  });

  it('ends with a coded error when its store is no store, and leaves the file as it is', async () => {
    const site = newSite(cabin);
    mkdirSync(join(site.folder, 'ampulla.db'));
    const { code, stderr } = await startChild(site).ends();
    expect(stderr).toMatch(/AMP_STORE_\w+/);
    expect(code).toBe(70);
  });

  it('lets no second daemon to the same books, and does not disturb the first', async () => {
    const site = newSite(cabin);
    const first = startChild(site);
    const page = await first.page();
    const second = await startChild(site).ends();
    expect(second.stderr).toContain('AMP_STORE_IN_USE');
    expect(second.code).toBe(70);
    expect((await fetch(page)).status).toBe(200);
  });

  it('ends with a coded error when the broker’s authority cannot be read', async () => {
    const site = newSite({
      ...cabin,
      broker: { kind: 'external', url: 'mqtts://127.0.0.1:8883', ca_file: 'none.pem' },
    });
    writeFileSync(join(site.folder, 'none.pem'), 'not a certificate');
    const { code, stderr } = await startChild(site).ends();
    expect(stderr).toContain('AMP_MQTT_CA_FILE');
    expect(code).toBe(70);
  });

  it('takes a signal that comes while it starts for what it is', async () => {
    const site = newSite(cabin);
    const reloaded = startChild(site);
    await reloaded.says('the embedded broker listens');
    reloaded.signal('SIGHUP');
    await reloaded.says('the configuration was read again and is in force');
    await reloaded.kill();

    const ended = startChild(site);
    await ended.says('the embedded broker listens');
    ended.signal('SIGTERM');
    expect((await ended.ends()).code).toBe(0);
  });

  it('ends though a webhook does not answer, and keeps the message for the next start', async () => {
    const deaf = await serve(() => {});
    const site = newSite({
      ...cabin,
      notify: { webhooks: { bell: { url: `http://127.0.0.1:${deaf.port}/`, timeout_s: 60 } } },
    });
    const store = openStore({ file: site.store });
    store.commit({ ...emptyBatch, deliveries: [waiting] });
    store.close();
    const child = startChild(site);
    await child.page();
    await vi.waitFor(async () => expect(await connections(deaf.server)).toBe(1), IN_TIME);
    const asked = performance.now();
    child.signal('SIGTERM');
    expect((await child.ends()).code).toBe(0);
    expect(performance.now() - asked).toBeLessThan(5_000);
    await deaf.close();
    const left = site.read((books) => books.deliveries(waiting.due));
    expect(left.map(({ id, state }) => `${id} ${state}`)).toEqual([`${waiting.id} waiting`]);
  });

  it.each(['SIGTERM', 'SIGINT'] as const)(
    'ends within five seconds at %s, with everything it has received in the books',
    async (signal) => {
      // Nothing but the end itself commits within the time of this test.
      const site = newSite({ ...cabin, store: { group_time_s: 60 } });
      const child = startChild(site);
      const { port } = await child.says('the embedded broker listens');
      const page = await child.page();
      const publisher = await publisherTo(Number(port));
      for (const kwh of [4.05, 4.06, 4.07, 4.08]) {
        await publisher.publish('cabin/plug-1/total', `${kwh}`);
      }
      await publisher.publish('cabin/tide-water/temperature', '24.4');
      await vi.waitFor(async () => expect(await pageText(page)).toContain('24.4'), IN_TIME);
      expect(site.booked().get('tide-heater')?.counted ?? 0).toBe(0);

      const asked = performance.now();
      child.signal(signal);
      const { code } = await child.ends();
      expect(performance.now() - asked).toBeLessThan(5_000);
      expect(code).toBe(0);
      await publisher.stop();
      expect(site.booked().get('tide-heater')?.counted).toBe(30_000);
      expect(site.integrity()).toBe('ok');
    },
  );
});
