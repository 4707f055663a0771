import fc from 'fast-check';
import { afterEach, describe, expect, it } from 'vitest';
import { SECOND } from '../../src/units/index.ts';
import { createAllowance } from '../../src/web/allowance.ts';
import { createAnswers } from '../../src/web/answers.ts';
import {
  type PageAnswer,
  type PageRequest,
  startWeb,
  type WebServer,
} from '../../src/web/index.ts';
import { logBook } from '../mqtt/link-under-test.ts';
import { runs } from '../units/runs.ts';
import { type Asked, ask } from './asker.ts';
import { between, textOf } from './page.ts';
import { alert, HOSTILE_NAMES, room } from './views.ts';

const running: WebServer[] = [];
afterEach(async () => {
  await Promise.all(running.splice(0).map((server) => server.stop()));
});

const STUCK = alert();

async function serving(answer: PageAnswer = { done: true, words: 'it is acknowledged' }) {
  const asked: PageRequest[] = [];
  const book = logBook();
  const server = await startWeb({
    port: 0,
    logger: book.logger,
    view: () => room({ alerts: [STUCK] }),
    ask(request) {
      asked.push(request);
      return answer;
    },
  });
  running.push(server);
  const port = Number(new URL(server.address).port);
  const [token = ''] = between((await ask(port)).body, 'name="token" value="', '"');
  expect(token).toMatch(/^[\w-]{43}$/);
  const own = { origin: `http://127.0.0.1:${port}`, 'sec-fetch-site': 'same-origin' };
  /** What a browser would send for a form of the page, with what a test is about laid over. */
  const send = (fields: Record<string, string> | string, over: Asked = {}) =>
    ask(port, '/requests', {
      method: 'POST',
      body: typeof fields === 'string' ? fields : new URLSearchParams(fields).toString(),
      ...over,
      headers: { 'content-type': 'application/x-www-form-urlencoded', ...own, ...over.headers },
    });
  const acknowledge = { token, do: 'acknowledge', alert: STUCK.id };
  return { port, asked, lines: book.lines, token, own, send, acknowledge };
}

describe('a form of the page', () => {
  it('is asked as it stands, and leads back to the room with the answer, which is told once', async () => {
    const { port, asked, send, acknowledge } = await serving();
    const { status, headers, body } = await send(acknowledge);
    expect([status, body]).toEqual([303, '']);
    expect(asked).toEqual([{ do: 'acknowledge', alert: STUCK.id }]);
    const location = String(headers.location);
    expect(location).toMatch(/^\/\?said=[\w-]{22}#said$/);
    // A browser that only looks whether the page is there takes nothing away.
    await ask(port, location.replace(/#.*/, ''), { method: 'HEAD' });
    const told = await ask(port, location.replace(/#.*/, ''));
    expect(textOf(told.body)).toContain('Done: it is acknowledged.');
    expect(told.body).toContain('content="60; url=/"');
    expect((await ask(port, location.replace(/#.*/, ''))).body).not.toContain('role="status"');
  });

  it.each<[string, Record<string, string>, PageRequest]>([
    [
      'half an hour',
      { do: 'snooze', alert: STUCK.id, for: '30' },
      { do: 'snooze', alert: STUCK.id, minutes: 30 },
    ],
    [
      'until the morning',
      { do: 'snooze', alert: STUCK.id, for: 'morning' },
      { do: 'snooze', alert: STUCK.id, minutes: 230 },
    ],
    [
      'a tending',
      { do: 'begin-tending', tank: 'reed-pool', minutes: '45' },
      { do: 'begin-tending', tank: 'reed-pool', minutes: 45 },
    ],
    ['its end', { do: 'end-tending', tank: 'reed-pool' }, { do: 'end-tending', tank: 'reed-pool' }],
  ])('asks for %s', async (_, fields, request) => {
    const { asked, send, token } = await serving();
    expect((await send({ token, ...fields })).status).toBe(303);
    expect(asked).toEqual([request]);
  });

  it('is taken from every name of this machine, but only from the one that was asked', async () => {
    const { port, asked, send, acknowledge } = await serving();
    const from = (host: string, origin: string) =>
      send(acknowledge, { host, headers: { origin: `http://${origin}` } });
    expect((await from(`localhost:${port}`, `localhost:${port}`)).status).toBe(303);
    expect((await from(`LOCALHOST:${port}`, `localhost:${port}`)).status).toBe(303);
    expect(asked).toHaveLength(2);
    expect((await from(`localhost:${port}`, `127.0.0.1:${port}`)).status).toBe(403);
    expect(asked).toHaveLength(2);
  });

  it('says that nothing was done when nothing was', async () => {
    const { port, send, acknowledge } = await serving({ done: false, words: 'it cannot be' });
    const { headers } = await send(acknowledge);
    const { body } = await ask(port, String(headers.location).replace(/#.*/, ''));
    expect(textOf(body)).toContain('Not done: it cannot be.');
  });

  it.each(Object.entries(HOSTILE_NAMES))('tells an answer with %s as text', async (_, name) => {
    const { port, send, acknowledge } = await serving({ done: true, words: name });
    const { headers } = await send(acknowledge);
    const { body } = await ask(port, String(headers.location).replace(/#.*/, ''));
    const [status = ''] = between(body, '<p id="said"', '</p>');
    expect(status.slice(status.indexOf('>') + 1)).toBe(`<bdi>Done: ${name}.</bdi>`);
    expect(body).not.toMatch(/<(script|img|svg\/)/);
  });

  it.each(['AMP_ALERTS_NOT_OPEN', 'AMP_APP_TANK'])(
    'about what is not there is answered with 404 and the reason (%s)',
    async (code) => {
      const { send, acknowledge } = await serving({ done: false, words: `${code}: none`, code });
      const { status, body } = await send(acknowledge);
      expect(status).toBe(404);
      expect(textOf(body)).toContain(`${code}: none`);
    },
  );
});

describe('what is refused, and asked of nobody', () => {
  const OTHERS = (port: number): Record<string, Record<string, string>> => ({
    'another site': { origin: 'https://heron-loft.example' },
    'a page that hides where it comes from': { origin: 'null' },
    'another port of this machine': { origin: `http://127.0.0.1:${port + 1}` },
    'this address without its port': { origin: 'http://127.0.0.1' },
    'this address by another scheme': { origin: `https://127.0.0.1:${port}` },
    'an address that begins like this one': { origin: `http://127.0.0.1:${port}.example` },
    'a frame of another site': { 'sec-fetch-site': 'cross-site' },
    'a neighbor site': { 'sec-fetch-site': 'same-site' },
    'the address line': { 'sec-fetch-site': 'none' },
  });

  it('what comes from elsewhere, though it knows the token', async () => {
    const { port, asked, send, acknowledge } = await serving();
    for (const [name, headers] of Object.entries(OTHERS(port))) {
      const { status, body } = await send(acknowledge, { headers });
      expect({ name, status }).toEqual({ name, status: 403 });
      expect(textOf(body)).toContain('Open the room anew and ask again.');
    }
    const unsaid = await ask(port, '/requests', {
      method: 'POST',
      body: new URLSearchParams(acknowledge).toString(),
      headers: { 'content-type': 'application/x-www-form-urlencoded' },
    });
    expect(unsaid.status).toBe(403);
    expect(asked).toEqual([]);
  });

  it('whatever origin or token anybody thinks of', async () => {
    const { port, asked, token, own, send, acknowledge } = await serving();
    const header = fc.stringMatching(/^[\x21-\x7e]([\x20-\x7e]*[\x21-\x7e])?$/);
    const near = (text: string) =>
      fc.oneof(
        fc.nat(text.length - 1).map((at) => text.slice(0, at)),
        fc
          .tuple(fc.nat(text.length - 1), fc.constantFrom('a', '-', '.', '0'))
          .map(([at, letter]) => `${text.slice(0, at)}${letter}${text.slice(at + 1)}`),
        header.map((more) => text + more),
      );
    const origins = fc.oneof(header, fc.webUrl(), near(own.origin));
    const tokens = fc.oneof(fc.string(), near(token));
    await fc.assert(
      fc.asyncProperty(origins, async (origin) => {
        fc.pre(origin.toLowerCase() !== own.origin);
        expect((await send(acknowledge, { headers: { origin } })).status).toBe(403);
      }),
      runs(60),
    );
    await fc.assert(
      fc.asyncProperty(tokens, async (other) => {
        fc.pre(other !== token);
        expect((await send({ ...acknowledge, token: other })).status).toBe(403);
      }),
      runs(60),
    );
    expect(asked).toEqual([]);
    // The door is not simply shut.
    expect((await send(acknowledge)).status).toBe(303);
    expect(port).toBeGreaterThan(0);
  });

  it.each([
    ['no token at all', { token: undefined }, 403],
    ['nothing to do', { do: undefined }, 400],
    ['something that nobody does', { do: 'switch-off' }, 400],
    ['a name that every object has', { do: 'constructor' }, 400],
    ['a field too few', { alert: undefined }, 400],
    ['a field too many', { minutes: '5' }, 400],
    ['a snooze of another length', { do: 'snooze', for: '31' }, 400],
    ['a snooze for ever', { do: 'snooze', for: 'Infinity' }, 400],
  ])('a form with %s', async (_, over, code) => {
    const { asked, send, acknowledge } = await serving();
    const fields = Object.entries({ ...acknowledge, ...over }).filter(
      (entry): entry is [string, string] => entry[1] !== undefined,
    );
    const { status, body } = await send(new URLSearchParams(fields).toString());
    expect(status).toBe(code);
    expect(textOf(body)).toContain('Nothing was changed.');
    expect(asked).toEqual([]);
  });

  it('a field that stands twice, or under a name that reaches into objects', async () => {
    const { asked, send, acknowledge } = await serving();
    const form = new URLSearchParams(acknowledge).toString();
    for (const more of ['&alert=another', '&do=snooze', '&__proto__=1', '&=', '&token=x']) {
      expect((await send(form + more)).status, more).toBe(400);
    }
    expect(asked).toEqual([]);
  });

  it('minutes that are no whole number from 1 to 480', async () => {
    const { asked, send, token } = await serving();
    for (const minutes of ['', '0', '-5', '481', '1.5', '1e2', '0x10', ' 5', '٣٠', 'NaN', '9999']) {
      const { status, body } = await send({ token, do: 'begin-tending', tank: 'a', minutes });
      expect([minutes, status]).toEqual([minutes, 400]);
      expect(textOf(body)).toContain('A tending lasts 1 to 480 whole minutes.');
    }
    expect(asked).toEqual([]);
  });

  it('what is not sent as a form, or is longer than any', async () => {
    const { asked, send, acknowledge, lines } = await serving();
    for (const type of ['application/json', 'text/plain', 'multipart/form-data; boundary=x']) {
      const { status, body } = await send(JSON.stringify(acknowledge), {
        headers: { 'content-type': type },
      });
      expect([type, status]).toEqual([type, 415]);
      expect(textOf(body)).toContain('This page takes its own forms only.');
    }
    const form = new URLSearchParams(acknowledge).toString();
    const long = await send(`${form}&x=${'y'.repeat(4096)}`);
    expect(long.status).toBe(413);
    expect(textOf(long.body)).toContain('longer than 4096 bytes');
    const untold = await send(`${form}&x=${'y'.repeat(4096)}`, {
      headers: { 'transfer-encoding': 'chunked' },
    });
    expect(untold.status).toBe(413);
    expect(asked).toEqual([]);
    expect(lines).toEqual([]);
  });

  it('a foreign host, and another method', async () => {
    const { port, asked, send, acknowledge } = await serving();
    const host = 'heron-loft.example';
    const headers = { origin: `http://${host}` };
    expect((await send(acknowledge, { host, headers })).status).toBe(421);
    const query = new URLSearchParams(acknowledge).toString();
    expect((await ask(port, `/requests?${query}`)).status).toBe(404);
    expect((await send(acknowledge, { method: 'PUT' })).status).toBe(404);
    expect(asked).toEqual([]);
  });

  it('more than a keeper would press, until a while has passed', async () => {
    const { asked, send, acknowledge } = await serving();
    let refused: Awaited<ReturnType<typeof send>> | undefined;
    for (let presses = 0; presses < 60 && refused === undefined; presses += 1) {
      const answer = await send(acknowledge);
      if (answer.status !== 303) refused = answer;
    }
    expect(refused?.status).toBe(429);
    expect(refused?.headers['retry-after']).toBe('2');
    expect(asked.length).toBeGreaterThanOrEqual(30);
  });
});

describe('the pages of an alert and of a tank', () => {
  it('are there for what is there, and else say so', async () => {
    const { port } = await serving();
    const seen = await ask(port, `/alerts/${STUCK.id}`);
    expect(seen.status).toBe(200);
    expect(textOf(seen.body)).toContain('Until Wed 7:00 a.m.');
    expect((await ask(port, '/tanks/reed-pool/tending')).status).toBe(200);
    for (const path of ['/alerts/', '/alerts/none', '/tanks/upkeep/tending', '/tanks/x/tending']) {
      const { status, body } = await ask(port, path);
      expect([path, status]).toEqual([path, 404]);
      expect(body).toContain('<a href="/">Back to the room</a>');
    }
    for (const path of [`/alerts/${STUCK.id}`, '/tanks/reed-pool/tending', '/alerts/none']) {
      expect((await ask(port, path)).body).not.toContain('http-equiv="refresh"');
    }
  });
});

describe('an allowance', () => {
  it('lets a handful through at once, then one at a time, and saves up no more than that', () => {
    let now = 0;
    const allowance = createAllowance(3, SECOND, () => now);
    const taken = (times: number): number =>
      Array.from({ length: times }, () => allowance.take()).filter(Boolean).length;
    expect(taken(10)).toBe(3);
    now += SECOND - 1;
    expect(taken(10)).toBe(0);
    now += 1;
    expect(taken(10)).toBe(1);
    now += 3600 * SECOND;
    expect(taken(10)).toBe(3);
  });
});

describe('answers that wait for their page', () => {
  it('are had once, and only by their key', () => {
    const answers = createAnswers();
    const answer = { done: true, words: 'yes' };
    const key = answers.keep(answer);
    for (const other of [undefined, '', 'x', [key], { key }]) {
      expect(answers.take(other)).toBeUndefined();
    }
    expect(answers.take(key)).toBe(answer);
    expect(answers.take(key)).toBeUndefined();
  });

  it('do not pile up when nobody comes for them: the oldest go', () => {
    const answers = createAnswers();
    const keys = Array.from({ length: 100 }, (_, index) =>
      answers.keep({ done: true, words: `${index}` }),
    );
    expect(new Set(keys).size).toBe(100);
    const left = keys.filter((key) => answers.take(key) !== undefined);
    expect(left).toEqual(keys.slice(-32));
  });
});
