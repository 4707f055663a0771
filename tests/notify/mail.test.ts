import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { createCourier, createMailChannel, type MailConfig } from '../../src/notify/index.ts';
import { MINUTE, SECOND } from '../../src/units/index.ts';
import { delivery, handClock, keep, keepLog, mailOf } from './keeping.ts';
import {
  type Certificate,
  headerOf,
  LOGIN,
  type MailServer,
  mailServer,
  makeCertificate,
  rawServer,
  textOf,
} from './mail-server.ts';

let certificate: Certificate;
const opened: { close(): Promise<void> }[] = [];
beforeAll(() => {
  certificate = makeCertificate();
});
afterEach(async () => {
  await Promise.all(opened.splice(0).map((server) => server.close()));
});
afterAll(() => certificate.remove());

async function serve(...[options]: [Parameters<typeof mailServer>[1]?]): Promise<MailServer> {
  const server = await mailServer(certificate, options);
  opened.push(server);
  return server;
}

async function serveRaw(...args: Parameters<typeof rawServer>) {
  const server = await rawServer(...args);
  opened.push(server);
  return server;
}

const PLAIN = 'WARNING: Zu warm: „Diskus“ 27,4 °C\nPull the plug.\n.\nA line after a dot.';
const BODY = JSON.stringify({
  format: 1,
  subject: { name: 'Diskus' },
  place: { name: 'Fern cellar' },
  text: { title: 'Zu warm: „Diskus“', severity: 'warning', over: false },
  plain: PLAIN,
});
const told = delivery({ channel: 'mail-keeper', body: BODY });

const keeper = (port: number, changes: Partial<MailConfig> = {}) =>
  createMailChannel('keeper', mailOf({ port, ca_file: certificate.file, ...LOGIN, ...changes }));

const failing = (code: string, more: object = {}) => ({
  kind: 'failed',
  why: expect.stringMatching(new RegExp(`^${code}: `)),
  remedy: expect.stringMatching(/./),
  ...more,
});

describe('a mail', () => {
  it.each(['starttls', 'tls'] as const)('goes out over %s, logged in', async (security) => {
    const server = await serve({ secure: security === 'tls' });
    expect(await keeper(server.port, { security }).send(told)).toEqual({ kind: 'delivered' });
    expect(server.mails).toMatchObject([
      {
        from: 'ampulla@heron-lane.example',
        to: ['keeper@heron-lane.example'],
        secure: true,
        user: 'ampulla',
      },
    ]);
  });

  it('says the message in plain text, and how bad it is first', async () => {
    const server = await serve();
    const pageUrl = 'http://127.0.0.1:8624/';
    const config = mailOf({ port: server.port, ca_file: certificate.file });
    const channel = createMailChannel('keeper', config, { pageUrl });
    await channel.send(told);
    const [mail] = server.mails;
    const head = headerOf(mail?.source ?? '');
    expect(head.get('content-type')).toMatch(/^text\/plain; charset=utf-8/i);
    expect(head.get('auto-submitted')).toBe('auto-generated');
    expect(
      textOf(mail?.source ?? '')
        .replaceAll('\r\n', '\n')
        .trimEnd(),
    ).toBe(`${PLAIN}\n\n${pageUrl}`);
    const words = [...(head.get('subject') ?? '').matchAll(/=\?UTF-8\?(B|Q)\?([^?]*)\?=/g)];
    const subject = words.map(([, kind, text = '']) =>
      kind === 'B'
        ? Buffer.from(text, 'base64').toString()
        : Buffer.from(
            text
              .replaceAll('_', ' ')
              .replace(/=([0-9A-F]{2})/g, (_, hex) =>
                String.fromCharCode(Number.parseInt(hex, 16)),
              ),
            'latin1',
          ).toString(),
    );
    expect(subject.join('')).toBe('WARNING Fern cellar: Zu warm: „Diskus“');
  });

  it('is the same mail when it is sent again, and answers the one that opened the alert', async () => {
    const server = await serve();
    const channel = keeper(server.port);
    await channel.send(told);
    await channel.send({ ...told, attempts: 1 });
    await channel.send(delivery({ channel: 'mail-keeper', change: 'closed', body: BODY }));
    const heads = server.mails.map(({ source }) => headerOf(source));
    const [first, again, closed] = heads.map((head) => head.get('message-id'));
    expect(first).toMatch(/^<[0-9a-f]{40}@heron-lane\.example>$/);
    expect(again).toBe(first);
    expect(heads[1]?.get('date')).toBe(heads[0]?.get('date'));
    expect(closed).not.toBe(first);
    expect(heads[2]?.get('in-reply-to')).toBe(first);
  });

  it('reaches the others where one recipient is refused, and says so', async () => {
    const server = await serve({
      onRcptTo({ address }, _session, done) {
        done(address.startsWith('gone') ? new Error('no such mailbox') : null);
      },
    });
    const to = ['keeper@heron-lane.example', 'gone@heron-lane.example'];
    expect(await keeper(server.port, { to }).send(told)).toEqual({
      kind: 'delivered',
      caveat: '127.0.0.1 refuses 1 of 2 recipients',
    });
    expect(server.mails.map((mail) => mail.to)).toEqual([[to[0]]]);
  });
});

describe('a mail that does not get through', () => {
  it('for a wrong password is told at once as lasting, without the password', async () => {
    const server = await serve();
    const attempt = await keeper(server.port, { password: 'wrong-sesame' }).send(told);
    expect(attempt).toMatchObject(failing('AMP_NOTIFY_LOGIN', { permanent: true }));
    expect(JSON.stringify(attempt)).not.toContain('wrong-sesame');
    expect(server.mails).toEqual([]);
  });

  it('never gives its password to a server without encryption', async () => {
    const commands: string[] = [];
    const server = await serveRaw((socket) => {
      socket.write('220 heron\r\n');
      socket.on('data', (data) => {
        commands.push(String(data));
        socket.write(
          String(data).startsWith('EHLO')
            ? '250-heron\r\n250 AUTH PLAIN LOGIN\r\n'
            : '502 no such command\r\n',
        );
      });
    });
    const attempt = await keeper(server.port).send(told);
    expect(attempt).toMatchObject(failing('AMP_NOTIFY_TLS'));
    expect(commands.join('')).not.toMatch(/AUTH|sesame|MAIL FROM/);
    expect(() => keeper(server.port, { security: 'none' })).toThrowError(
      expect.objectContaining({ code: 'AMP_NOTIFY_PLAIN_PASSWORD' }),
    );
  });

  it.each(['starttls', 'tls'] as const)(
    'over %s to a server that nobody vouches for keeps the message',
    async (security) => {
      const server = await serve({ secure: security === 'tls' });
      const trusting = mailOf({ port: server.port, security, ...LOGIN });
      expect(await createMailChannel('keeper', trusting).send(told)).toMatchObject(
        failing('AMP_NOTIFY_TLS', { permanent: true }),
      );
      expect(server.mails).toEqual([]);
    },
  );

  it('for its sender or its recipients says which', async () => {
    const sender = await serve({
      onMailFrom: (_address, _session, done) =>
        done(Object.assign(new Error('not you'), { responseCode: 553 })),
    });
    expect(await keeper(sender.port).send(told)).toMatchObject({
      ...failing('AMP_NOTIFY_ADDRESS', { permanent: true }),
      why: 'AMP_NOTIFY_ADDRESS: 127.0.0.1 refuses the sender: 553 not you',
    });
    const recipient = await serve({
      onRcptTo: (_address, _session, done) =>
        done(Object.assign(new Error('try later'), { responseCode: 450 })),
    });
    const later = await keeper(recipient.port).send(told);
    expect(later).toMatchObject(failing('AMP_NOTIFY_ADDRESS'));
    expect(later).not.toHaveProperty('permanent');
  });

  it('for what is in it quotes the reply', async () => {
    const server = await serve({
      onData(stream, _session, done) {
        stream.resume();
        stream.on('end', () => done(Object.assign(new Error('spam?'), { responseCode: 554 })));
      },
    });
    expect(await keeper(server.port).send(told)).toMatchObject({
      ...failing('AMP_NOTIFY_REFUSED', { permanent: true }),
      why: expect.stringContaining('554 spam?'),
    });
  });

  it('for a server that hangs is given up in time: before its greeting and within the mail', async () => {
    const silent = await serveRaw(() => {});
    expect(await keeper(silent.port, { timeout_s: 0.3 }).send(told)).toMatchObject(
      failing('AMP_NOTIFY_NO_ANSWER'),
    );
    const stalling = await serve({ onData: (stream) => void stream.resume() });
    expect(await keeper(stalling.port, { timeout_s: 0.5 }).send(told)).toMatchObject(
      failing('AMP_NOTIFY_NO_ANSWER'),
    );
  });

  it('for a line that breaks, or nobody who listens', async () => {
    const dropping = await serveRaw((socket) => {
      socket.write('220 heron\r\n');
      socket.on('data', () => socket.destroy());
    });
    expect(await keeper(dropping.port).send(told)).toMatchObject(failing('AMP_NOTIFY_UNREACHABLE'));
    const midway = await rawServer((socket) => {
      socket.write('220 heron\r\n');
      socket.on('data', (data) => {
        const said = String(data);
        if (/^(EHLO|MAIL|RCPT)/.test(said)) socket.write('250 yes\r\n');
        else if (said.startsWith('DATA')) socket.write('354 go on\r\n');
        else socket.destroy();
      });
    });
    const config = mailOf({ port: midway.port, security: 'none' });
    const attempt = await createMailChannel('keeper', config).send(told);
    expect(attempt).toMatchObject({ kind: 'failed' });
    expect(attempt).not.toHaveProperty('permanent');
    await midway.close();
    expect(await createMailChannel('keeper', config).send(told)).toMatchObject(
      failing('AMP_NOTIFY_UNREACHABLE'),
    );
  });

  it('for a file of the authority that is not there', async () => {
    expect(await keeper(1, { ca_file: '/nowhere/ca.pem' }).send(told)).toMatchObject(
      failing('AMP_NOTIFY_CA_FILE', { permanent: true }),
    );
  });
});

describe('mail and its courier', () => {
  it('hold up no other channel while the server hangs', async () => {
    const silent = await serveRaw(() => {});
    const working = await serve();
    const store = keep(told, delivery({ channel: 'mail-other', body: BODY }));
    const other = createMailChannel(
      'other',
      mailOf({ port: working.port, ca_file: certificate.file }),
    );
    const courier = createCourier({
      channels: [keeper(silent.port, { timeout_s: 1.5 }), other],
      store,
      clock: handClock(),
      logger: keepLog(),
    });
    const done = courier.work();
    await expect.poll(() => working.mails.length, { timeout: 1400 }).toBe(1);
    expect(store.rows.get(told.id)?.attempts).toBe(0);
    await done;
    expect(store.rows.get(told.id)).toMatchObject({ state: 'waiting', attempts: 1 });
  });

  it('neither lose nor hide a mail that a killed process had on its way', async () => {
    const server = await serve();
    const store = keep(told);
    const parts = { channels: [keeper(server.port)], clock: handClock(), logger: keepLog() };
    // Killed after the server took the mail and before the mark was written.
    const forgetful = { ...store, saveDelivery: () => {} };
    await createCourier({ ...parts, store: forgetful }).work();
    await createCourier({ ...parts, store }).work();
    await createCourier({ ...parts, store }).work();
    const ids = server.mails.map(({ source }) => headerOf(source).get('message-id'));
    expect(ids).toHaveLength(2);
    expect(new Set(ids).size).toBe(1);
    expect(store.states()).toEqual(['opened delivered']);
  });

  it('bring after an outage what waited, newest state only', async () => {
    const server = await serve();
    const { port } = server;
    const store = keep(told);
    const clock = handClock();
    await server.close();
    opened.length = 0;
    const parts = { store, clock, logger: keepLog() };
    const courier = createCourier({ ...parts, channels: [keeper(port)] });
    await courier.work();
    expect(courier.channelHealth()).toMatchObject([{ state: 'failing', failures: 1 }]);
    clock.turn(10 * MINUTE);
    store.saveDelivery(delivery({ channel: 'mail-keeper', change: 'closed', body: BODY }));
    clock.turn(SECOND);
    const revived = await serve();
    const later = createCourier({ ...parts, channels: [keeper(revived.port)] });
    await later.work();
    expect(revived.mails).toHaveLength(1);
    expect(store.states()).toEqual(['opened given-up', 'closed delivered']);
  });
});
