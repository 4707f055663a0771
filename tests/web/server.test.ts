import type { IncomingHttpHeaders } from 'node:http';
import { connect } from 'node:net';
import { afterEach, describe, expect, it } from 'vitest';
import { type RoomView, startWeb, type WebServer } from '../../src/web/index.ts';
import { logBook } from '../mqtt/link-under-test.ts';
import { ask } from './asker.ts';
import { alert, HOSTILE_NAMES, room, roomNamed } from './views.ts';

const nobody = () => ({ done: false, words: 'nobody is asked here' });

const running: WebServer[] = [];
afterEach(async () => {
  await Promise.all(running.splice(0).map((server) => server.stop()));
});

async function serving(view: () => RoomView = () => room(), port = 0) {
  const book = logBook();
  const server = await startWeb({ port, logger: book.logger, view, ask: nobody });
  running.push(server);
  return { ...server, port: Number(new URL(server.address).port), lines: book.lines };
}

/** Sends bytes as they are, and gives all that comes back. */
function sendRaw(port: number, bytes: string): Promise<string> {
  return new Promise((resolve, reject) => {
    const socket = connect(port, '127.0.0.1', () => socket.end(bytes));
    let got = '';
    socket.on('data', (part) => {
      got += part.toString();
    });
    socket.on('close', () => resolve(got));
    socket.on('error', reject);
  });
}

const isOpen = (host: string, port: number): Promise<boolean> =>
  new Promise((resolve) => {
    const socket = connect({ host, port, timeout: 2_000 });
    const end = (open: boolean) => () => {
      socket.destroy();
      resolve(open);
    };
    socket.on('connect', end(true)).on('error', end(false)).on('timeout', end(false));
  });

function expectGuarded(headers: IncomingHttpHeaders): void {
  const policy = String(headers['content-security-policy']);
  const directives = new Map(
    policy.split(';').map((part) => {
      const [name = '', ...values] = part.trim().split(' ');
      return [name, values.join(' ')];
    }),
  );
  expect(directives.get('default-src')).toBe("'none'");
  expect(directives.get('style-src')).toBe("'self'");
  expect(directives.get('img-src')).toBe("'self'");
  expect(directives.get('base-uri')).toBe("'none'");
  expect(directives.get('form-action')).toBe("'self'");
  expect(directives.get('frame-ancestors')).toBe("'none'");
  // No script, from anywhere: neither a directive of its own nor an unsafe word.
  expect(policy).not.toMatch(/script|unsafe|\*|http/);
  expect(headers['x-content-type-options']).toBe('nosniff');
  expect(headers['referrer-policy']).toBe('same-origin');
  expect(headers['cross-origin-resource-policy']).toBe('same-origin');
  expect(headers['cache-control']).toBe('no-store');
}

describe('the web server', () => {
  it('answers with the page as it is at this moment', async () => {
    let view = room();
    const { port } = await serving(() => view);
    const before = await ask(port);
    expect(before.status).toBe(200);
    expect(before.headers['content-type']).toBe('text/html; charset=utf-8');
    expect(before.body).toMatch(/^<!doctype html><html lang="en">/);
    expect(before.body).toContain('No open alerts');
    expectGuarded(before.headers);
    view = room({ alerts: [alert()] });
    expect((await ask(port)).body).toContain('1 critical alert');
  });

  it('writes a changed site in its new way', async () => {
    let view = room();
    const { port } = await serving(() => view);
    expect((await ask(port)).body).toContain('$12.00');
    view = { ...view, site: { ...view.site, currency: 'EUR' } };
    expect((await ask(port)).body).toContain('€12.00');
  });

  it('sends names in UTF-8, with the length that it says', async () => {
    const name = Object.values(HOSTILE_NAMES).join(' ');
    const { port } = await serving(() => roomNamed(name));
    const { headers, body } = await ask(port);
    expect(body).toContain('אקווריום של רות');
    expect(body).toContain('🐠');
    expect(Number(headers['content-length'])).toBe(Buffer.byteLength(body));
  });

  it('holds the page still when asked', async () => {
    const { port } = await serving();
    expect((await ask(port)).body).toContain('http-equiv="refresh"');
    expect((await ask(port, '/?still')).body).not.toContain('http-equiv="refresh"');
    expect((await ask(port, '/?still=<script>')).body).not.toContain('<script');
  });

  it('answers HEAD with the same headers and nothing else', async () => {
    const { port } = await serving();
    const [get, head] = [await ask(port), await ask(port, '/', { method: 'HEAD' })];
    expect(head.status).toBe(200);
    expect(head.body).toBe('');
    expect(head.headers['content-type']).toBe(get.headers['content-type']);
    expect(head.headers['content-length']).toBe(get.headers['content-length']);
    expectGuarded(head.headers);
  });

  it('serves its style and its mark as what they are', async () => {
    const { port } = await serving();
    const style = await ask(port, '/style.css');
    expect(style.headers['content-type']).toBe('text/css; charset=utf-8');
    expect(style.body).toContain('prefers-color-scheme: dark');
    // The policy would refuse anything from elsewhere.
    expect(style.body).not.toMatch(/url\(|@import/);
    const mark = await ask(port, '/mark.svg');
    expect(mark.headers['content-type']).toBe('image/svg+xml');
    expect(mark.body).toMatch(/^<svg xmlns="http:\/\/www\.w3\.org\/2000\/svg"/);
    for (const { status, headers } of [style, mark]) {
      expect(status).toBe(200);
      expectGuarded(headers);
    }
  });

  it('knows no other page, and takes nothing', async () => {
    const { port, lines } = await serving();
    for (const [path, method] of [
      ['/nothing', 'GET'],
      ['/../../etc/passwd', 'GET'],
      ['/', 'POST'],
      ['/style.css', 'DELETE'],
    ] as const) {
      const { status, headers, body } = await ask(port, path, { method });
      expect([path, status]).toEqual([path, 404]);
      expect(headers['content-type']).toBe('text/html; charset=utf-8');
      expect(body).toContain('There is no such page.');
      expect(body).toContain('<a href="/">Back to the room</a>');
      expectGuarded(headers);
    }
    expect(lines).toEqual([]);
  });

  it('refuses an address that cannot be read in plain words, and keeps its log for its own faults', async () => {
    const { port, lines } = await serving();
    const { status, headers, body } = await ask(port, '/%E0%A4%A');
    expect(status).toBe(400);
    expect(headers['content-type']).toMatch(/^text\/plain/);
    expect(body).toBe('This request cannot be understood. The room is at /\n');
    expectGuarded(headers);
    expect(lines).toEqual([]);
  });
});

describe('who may ask', () => {
  it.each(['127.0.0.1', 'localhost', 'LOCALHOST', '[::1]'])('answers as %s', async (name) => {
    const { port } = await serving();
    expect((await ask(port, '/', { host: name })).status).toBe(200);
    expect((await ask(port, '/', { host: `${name}:${port}` })).status).toBe(200);
  });

  it.each([
    'heron-loft.example',
    'localhost.heron-loft.example',
    '127.0.0.1.heron-loft.example',
    '192.168.1.7',
    '0.0.0.0',
    '[::]',
    'localhost@heron-loft.example',
  ])('sends %s away: a foreign name on this address is another site’s trick', async (host) => {
    let asked = 0;
    const { port } = await serving(() => {
      asked += 1;
      return room();
    });
    for (const path of ['/', '/style.css', '/nothing']) {
      const { status, headers, body } = await ask(port, path, { host });
      expect(status).toBe(421);
      expect(body).toBe('This page answers on loopback only.\n');
      expectGuarded(headers);
    }
    expect(asked).toBe(0);
  });

  it('sends away who names no host at all', async () => {
    const { port } = await serving();
    expect(await sendRaw(port, 'GET / HTTP/1.0\r\n\r\n')).toMatch(/^HTTP\/1\.1 421 /);
    expect(await sendRaw(port, 'GET / HTTP/1.1\r\n\r\n')).toMatch(/^HTTP\/1\.1 400 /);
  });

  it('outlives nonsense on its port', async () => {
    const { port } = await serving();
    expect(await sendRaw(port, 'NONSENSE\r\n\r\n')).not.toContain('at ');
    expect((await ask(port)).status).toBe(200);
  });

  it('listens on 127.0.0.1 alone', async () => {
    const { address, port } = await serving();
    expect(address).toBe(`http://127.0.0.1:${port}/`);
    expect(await isOpen('127.0.0.1', port)).toBe(true);
    // All of 127.0.0.0/8 is this machine: who listens everywhere is heard there too.
    expect(await isOpen('127.0.0.2', port)).toBe(false);
    expect(await isOpen('::1', port)).toBe(false);
  });
});

describe('what goes wrong', () => {
  it('names the port that is taken, and what to do', async () => {
    const { port } = await serving();
    await expect(serving(() => room(), port)).rejects.toMatchObject({
      name: 'CodedError',
      code: 'AMP_WEB_PORT_TAKEN',
      message: `cannot serve the page on 127.0.0.1:${port}`,
      remedy: expect.stringContaining('web.port'),
    });
  });

  it('says in plain words that a page cannot be made, and logs why', async () => {
    let broken = true;
    const { port, lines } = await serving(() => {
      if (broken) throw Object.assign(new Error('the shelf collapsed'), { statusCode: 404 });
      return room();
    });
    const { status, headers, body } = await ask(port);
    expect(status).toBe(500);
    expect(headers['content-type']).toMatch(/^text\/plain/);
    expect(body).toBe('The page could not be made; the log says why.\n');
    expectGuarded(headers);
    expect(lines).toHaveLength(1);
    expect(lines[0]).toMatchObject({ level: 'error', message: 'a page could not be made' });
    const { err } = lines[0]?.fields ?? {};
    expect(String(err)).toContain('the shelf collapsed');
    broken = false;
    expect((await ask(port)).status).toBe(200);
  });

  it('stops although a reader keeps the line open', async () => {
    const server = await serving();
    const socket = connect(server.port, '127.0.0.1');
    const closed = new Promise((resolve) => socket.on('close', resolve));
    await new Promise((resolve) => socket.on('connect', resolve));
    socket.write(`GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n`);
    await new Promise((resolve) => socket.once('data', resolve));
    await server.stop();
    socket.resume();
    await closed;
    expect(await isOpen('127.0.0.1', server.port)).toBe(false);
  });
});
