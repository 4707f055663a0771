import { connect } from 'mqtt';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { startEmbeddedBroker } from '../../src/mqtt/index.ts';
import { keepLog } from '../notify/keeping.ts';
import {
  type Certificate,
  headerOf,
  LOGIN,
  mailServer,
  makeCertificate,
} from '../notify/mail-server.ts';
import { answering, receiver } from '../notify/receiver.ts';
import { endChildren, runCli } from './daemon.ts';
import { cabin } from './house.ts';
import { createSite, type Site } from './site.ts';

let certificate: Certificate;
const opened: { close(): Promise<void> }[] = [];
const sites: Site[] = [];
beforeAll(() => {
  certificate = makeCertificate();
});
afterEach(async () => {
  await endChildren();
  await Promise.all(opened.splice(0).map((server) => server.close()));
  for (const site of sites.splice(0)) site.remove();
});
afterAll(() => certificate.remove());

function kept<T extends { close(): Promise<void> }>(server: T): T {
  opened.push(server);
  return server;
}

function siteWith(notify: object, broker: object = { kind: 'embedded', port: 0 }): Site {
  const site = createSite({ ...cabin, notify, broker });
  sites.push(site);
  return site;
}

describe('ampulla send-test', () => {
  it('sends a message marked as a test through every channel, and exits 0', async () => {
    const mails = kept(await mailServer(certificate));
    const hook = kept(await receiver(answering(204)));
    const embedded = await startEmbeddedBroker({ port: 0, logger: keepLog() });
    kept({ close: () => embedded.stop() });
    const url = `mqtt://127.0.0.1:${embedded.port}`;
    const listener = connect(url);
    kept({ close: () => listener.endAsync(true) });
    await new Promise((resolve) => listener.once('connect', resolve));
    await listener.subscribeAsync('#');
    const heard = new Promise<[string, Uint8Array]>((resolve) => {
      listener.once('message', (topic, payload) => resolve([topic, payload]));
    });
    const site = siteWith(
      {
        mail: {
          keeper: {
            ...{ host: '127.0.0.1', port: mails.port, ca_file: certificate.file, ...LOGIN },
            ...{ from: 'ampulla@heron-lane.example', to: ['keeper@heron-lane.example'] },
          },
        },
        webhooks: { bell: { url: hook.url } },
      },
      { kind: 'external', url },
    );
    const { code, stdout, stderr } = await runCli('send-test', site.file).ends();
    expect({ code, stderr }).toEqual({ code: 0, stderr: '' });
    expect(stdout.trim().split('\n').sort()).toEqual([
      'mail-keeper: taken',
      'mqtt: taken',
      'webhook-bell: taken',
    ]);
    expect(headerOf(mails.mails[0]?.source ?? '').get('subject')).toMatch(/This is a test/);
    expect(JSON.parse(hook.received[0]?.body ?? '')).toMatchObject({ test: true, state: 'closed' });
    const [topic, payload] = await heard;
    expect(topic).toMatch(/\/alerts\/test\/site\//);
    expect(JSON.parse(new TextDecoder().decode(payload))).toMatchObject({ test: true });
  });

  it('says what went wrong and what to do, and exits 1', async () => {
    const mails = kept(await mailServer(certificate));
    const hook = kept(await receiver(answering(404, {}, 'no such bell')));
    const site = siteWith({
      mail: {
        keeper: {
          ...{ host: '127.0.0.1', port: mails.port, ca_file: certificate.file },
          ...{ user: 'ampulla', password: 'stale-word' },
          ...{ from: 'ampulla@heron-lane.example', to: ['keeper@heron-lane.example'] },
        },
      },
      webhooks: { bell: { url: hook.url } },
    });
    const { code, stdout } = await runCli('send-test', site.file).ends();
    expect(code).toBe(1);
    expect(stdout).toContain('mqtt: left out');
    expect(stdout).toMatch(/mail-keeper: not taken: AMP_NOTIFY_LOGIN: .*\n {2}check user/);
    expect(stdout).toMatch(/webhook-bell: not taken: AMP_NOTIFY_HTTP: HTTP 404: no such bell\n/);
    expect(stdout).not.toContain('stale-word');
    const one = await runCli('send-test', site.file, 'webhook-bell').ends();
    expect(one.code).toBe(1);
    expect(one.stdout).not.toContain('mail-keeper');
    expect(hook.received).toHaveLength(2);
  });

  it('knows no channel that the configuration does not have', async () => {
    const site = siteWith({ webhooks: { bell: { url: 'http://127.0.0.1:1/' } } });
    const { code, stderr } = await runCli('send-test', site.file, 'webhook-ball').ends();
    expect(code).toBe(64);
    expect(stderr).toMatch(/AMP_APP_CHANNEL: .*'webhook-ball'\n.*webhook-bell/);
  });
});
