import { afterEach, expect, it } from 'vitest';
import { startDaemon } from '../../src/app/daemon.ts';
import { loadConfig } from '../../src/config/index.ts';
import { openStore } from '../../src/storage/index.ts';
import { logBook, machineClock } from '../mqtt/link-under-test.ts';
import { freePort, serve, type TestServer } from '../mqtt/sockets.ts';
import { cabin } from './house.ts';
import { createSite, type Site } from './site.ts';

let site: Site | undefined;
let taken: TestServer | undefined;
afterEach(async () => {
  await taken?.close();
  taken = undefined;
  site?.remove();
});

/** Starts what cannot be started, and gives the code of the error. */
async function failing(broker: number, page: number, header = 'plain'): Promise<unknown> {
  site = createSite({
    ...cabin,
    broker: { kind: 'embedded', port: broker },
    web: { port: page },
    notify: { webhooks: { bell: { url: 'http://127.0.0.1:1/', headers: { 'x-cabin': 'plain' } } } },
  });
  const loaded = loadConfig(site.file, {});
  if (!loaded.ok) throw new Error('the configuration is wrong');
  const { notify } = structuredClone(loaded.config);
  for (const { headers } of Object.values(notify.webhooks)) headers['x-cabin'] = header;
  return startDaemon({
    config: { ...loaded.config, notify },
    file: site.file,
    clock: machineClock,
    logger: logBook().logger,
    onFatal: () => {},
  }).then(
    () => 'it runs',
    (error) => error.code,
  );
}

it.each([
  ['the page’s port is taken', 'AMP_WEB_PORT_TAKEN'],
  ['the broker’s port is taken', 'AMP_MQTT_PORT_TAKEN'],
  ['a channel cannot be made', 'AMP_NOTIFY_HEADER'],
])('leaves nothing open when %s', async (_, code) => {
  taken = await serve(() => {});
  const broker = code === 'AMP_MQTT_PORT_TAKEN' ? taken.port : await freePort();
  const page = code === 'AMP_WEB_PORT_TAKEN' ? taken.port : await freePort();
  const header = code === 'AMP_NOTIFY_HEADER' ? 'two\nlines' : 'plain';
  expect(await failing(broker, page, header)).toBe(code);

  openStore({ file: site?.store ?? '' }).close();
  for (const port of [broker, page]) {
    if (port === taken.port) continue;
    await (await serve(() => {}, port)).close();
  }
});
