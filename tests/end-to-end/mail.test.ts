import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { type Clock, instant, later, MINUTE } from '../../src/units/index.ts';
import { machineClock } from '../mqtt/link-under-test.ts';
import {
  type Certificate,
  LOGIN,
  type MailServer,
  mailServer,
  makeCertificate,
} from '../notify/mail-server.ts';
import { endChildren, IN_TIME, type InProcess, startHere } from './daemon.ts';
import { cabin } from './house.ts';
import { type Publisher, publisherTo } from './publisher.ts';
import { createSite, type Site } from './site.ts';

let certificate: Certificate;
let post: MailServer;
let site: Site;
let here: InProcess | undefined;
let house: Publisher | undefined;
let now = instant(Date.UTC(2026, 1, 3, 14, 0));
const clock: Clock = { ...machineClock, now: () => now };

beforeEach(async () => {
  certificate = makeCertificate();
  post = await mailServer(certificate);
  site = createSite({
    ...cabin,
    alerts: { gather_s: 0 },
    notify: {
      mail: {
        keeper: {
          ...{ host: '127.0.0.1', port: post.port, security: 'starttls' },
          ...{ ca_file: certificate.file, user: LOGIN.user, password: LOGIN.password },
          ...{ from: 'cabin@example.org', to: ['keeper@example.org'] },
        },
      },
    },
  });
});
afterEach(async () => {
  await house?.stop();
  await here?.daemon.stop();
  await endChildren();
  await post.close();
  certificate.remove();
  site.remove();
});

async function start(): Promise<void> {
  here = await startHere(site, { clock });
  house = await publisherTo(here.daemon.brokerPort ?? 0);
}

async function stop(): Promise<void> {
  await house?.stop();
  await here?.daemon.stop();
  house = undefined;
  here = undefined;
}

/** Minutes in which the heater draws so much and the water is so warm. */
async function live(minutes: number, watts: number, celsius: number): Promise<void> {
  const { daemon } = here as InProcess;
  for (let minute = 0; minute < minutes; minute += 1) {
    now = later(now, MINUTE);
    const before = daemon.received;
    await house?.publish('cabin/plug-1/power', `${watts}`);
    await house?.publish('cabin/tide-water/temperature', celsius.toFixed(2));
    await vi.waitFor(() => expect(daemon.received).toBeGreaterThanOrEqual(before + 2), IN_TIME);
    daemon.tick();
  }
}

it('a heater that sticks ends as one mail with its numbers, over a restart before it could be sent', async () => {
  await start();
  for (const watts of [0, 190, 0, 190, 0, 190]) await live(5, watts, 24.9);
  expect(post.mails).toEqual([]);

  // The mail server is away when it happens, and the daemon ends before it is back.
  const { port } = post;
  await post.close();
  await live(16, 190, 25.8);
  await stop();
  post = await mailServer(certificate, {}, port);
  await start();
  await live(2, 190, 25.8);
  await vi.waitFor(() => expect(post.mails).toHaveLength(1), IN_TIME);

  const [mail] = post.mails;
  expect(mail).toMatchObject({ secure: true, user: LOGIN.user, to: ['keeper@example.org'] });
  const text = mail?.source.replace(/=\r\n/g, '').replaceAll('=C2=B0', '°') ?? '';
  expect(text).toMatch(/^Subject: .*Tide (heater|pool)/m);
  expect(text).toMatch(/25\.8.*°C/s);
  expect(text).toContain('190');
  expect(text).toMatch(/RCD|GFCI/);
  await live(5, 190, 25.8);
  expect(post.mails).toHaveLength(1);
});
