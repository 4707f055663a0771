import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { type Instant, instant } from '../../src/units/index.ts';
import {
  type Certificate,
  headerOf,
  type Mail,
  type MailServer,
  mailServer,
  makeCertificate,
  textOf,
} from '../notify/mail-server.ts';
import { type Child, endChildren, IN_TIME, startChild } from './daemon.ts';
import { cabin } from './house.ts';
import { type Publisher, publisherTo } from './publisher.ts';
import { createSite, type Site } from './site.ts';

/** The watches look every ten seconds, and what failed is tried again then. */
const SOON = { ...IN_TIME, timeout: 40_000 };
const EVER = instant(8_000_000_000_000);

let certificate: Certificate;
beforeAll(() => {
  certificate = makeCertificate();
});
afterAll(async () => {
  await endChildren();
  certificate.remove();
});

/** A cabin whose heater is told to stick at once, and whose keeper gets mails. */
const siteWith = (port: number): Site =>
  createSite({
    ...cabin,
    alerts: { gather_s: 0 },
    watches: { heater_stuck_on: { hold_min: 0 }, out_of_range: { hold_min: 0 } },
    notify: {
      mqtt: { enabled: false },
      mail: {
        keeper: {
          ...{ host: '127.0.0.1', port, security: 'starttls', ca_file: certificate.file },
          ...{ from: 'cabin@example.org', to: ['keeper@example.org'] },
        },
      },
    },
  });

/** The heater draws and the water is far too warm, until `done` says that it is enough. */
async function stick(child: Child, done: () => void): Promise<void> {
  const { port } = await child.says('the embedded broker listens');
  const house: Publisher = await publisherTo(Number(port));
  await vi.waitFor(async () => {
    await house.publish('cabin/plug-1/power', '190');
    await house.publish('cabin/tide-water/temperature', '31.0');
    done();
  }, SOON);
  await house.stop();
}

const waiting = (site: Site): number =>
  site.read((books) => books.deliveries(EVER as Instant)).length;

/** What it tells once it is started again, until nothing is left to tell. Ends the site. */
async function toldAfterRestart(site: Site, post: MailServer): Promise<readonly Mail[]> {
  const child = startChild(site);
  await child.says('ampulla is running');
  await vi.waitFor(() => expect(waiting(site)).toBe(0), SOON);
  expectOnce(post.mails);
  await child.kill();
  await post.close();
  site.remove();
  return post.mails;
}

const idsOf = (mails: readonly Mail[]): (string | undefined)[] =>
  mails.map(({ source }) => headerOf(source).get('message-id'));

/** No mail twice, and nothing told twice in two mails. */
function expectOnce(mails: readonly Mail[]): void {
  expect(new Set(idsOf(mails)).size).toBe(mails.length);
  const subjects = mails.map(({ source }) => headerOf(source).get('subject'));
  expect([...new Set(subjects)]).toEqual(subjects);
}

const tellsOfTheHeater = (mails: readonly Mail[]): boolean =>
  mails.some(({ source }) => /Tide heater|Tide pool/.test(textOf(source)));

describe.concurrent('a daemon that is killed between an alert and its mail', () => {
  it('while the mail waits, since the server is busy: it is sent after the restart, once', async () => {
    const busy = { is: true, asked: 0 };
    const post = await mailServer(certificate, {
      onMailFrom(_address, _session, done) {
        busy.asked += 1;
        // 451: try again later.
        if (busy.is) done(Object.assign(new Error('busy'), { responseCode: 451 }));
        else done();
      },
    });
    const site = siteWith(post.port);
    const child = startChild(site);
    await stick(child, () => expect(busy.asked).toBeGreaterThan(0));
    await child.kill();
    expect(waiting(site)).toBeGreaterThan(0);
    expect(post.mails).toEqual([]);

    busy.is = false;
    expect(tellsOfTheHeater(await toldAfterRestart(site, post))).toBe(true);
  });

  it('while the server takes its time over the mail, and drops it: it is sent after the restart, once', async () => {
    let held = 0;
    const slow = await mailServer(certificate, {
      // Read to its end, and never answered.
      onData(stream) {
        stream.on('end', () => {
          held += 1;
        });
        stream.resume();
      },
    });
    const { port } = slow;
    const site = siteWith(port);
    const child = startChild(site);
    await stick(child, () => expect(held).toBeGreaterThan(0));
    await child.kill();
    await slow.close();
    expect(waiting(site)).toBeGreaterThan(0);

    const post: MailServer = await mailServer(certificate, {}, port);
    expect(tellsOfTheHeater(await toldAfterRestart(site, post))).toBe(true);
  });

  it('before it knows that the server has it: it comes again as the very same mail (RFC 1047)', async () => {
    const first: string[] = [];
    let answer: (() => void) | undefined;
    const taking = await mailServer(certificate, {
      // Has the mail, and says so only when the daemon is gone.
      onData(stream, _session, done) {
        const parts: Buffer[] = [];
        stream.on('data', (part: Buffer) => parts.push(part));
        stream.on('end', () => {
          first.push(Buffer.concat(parts).toString());
          answer = done;
        });
      },
    });
    const { port } = taking;
    const site = siteWith(port);
    const child = startChild(site);
    await stick(child, () => expect(first).toHaveLength(1));
    child.signal('SIGKILL');
    answer?.();
    await child.ends();
    expect(first).toHaveLength(1);
    expect(waiting(site)).toBeGreaterThan(0);
    await taking.close();

    const post = await mailServer(certificate, {}, port);
    const told = await toldAfterRestart(site, post);
    const again = told.filter(
      ({ source }) =>
        headerOf(source).get('message-id') === headerOf(first[0] as string).get('message-id'),
    );
    expect(again).toHaveLength(1);
    expect(again[0]?.source).toBe(first[0]);
  });
});
