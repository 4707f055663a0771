import fc from 'fast-check';
import { afterEach, describe, expect, it } from 'vitest';
import { createWebhook, type WebhookConfig } from '../../src/notify/index.ts';
import { runs } from '../units/runs.ts';
import { delivery, keepLog, webhookOf } from './keeping.ts';
import { answering, type Receiver, receiver } from './receiver.ts';

const opened: Receiver[] = [];
afterEach(async () => {
  await Promise.all(opened.splice(0).map((server) => server.close()));
});

const bodyOf = (title: string, severity = 'critical'): string =>
  JSON.stringify({
    subject: { name: 'Left heater' },
    text: { title, severity, what: 'It heats.', since: 'Since 3:14 a.m.', over: false },
    plain: `${title}\nPull the plug.`,
  });

/** What a real server receives of a message with this title. */
async function sent(title: string, changes: Partial<WebhookConfig>, severity?: string) {
  const server = await receiver(answering(200));
  opened.push(server);
  const webhook = createWebhook(
    'push',
    { ...webhookOf(server.url), ...changes },
    { logger: keepLog(), pageUrl: 'http://127.0.0.1:8624/' },
  );
  expect(await webhook.send(delivery({ body: bodyOf(title, severity) }))).toEqual({
    kind: 'delivered',
  });
  const [one] = server.received;
  if (one === undefined) throw new Error('nothing was received');
  return one;
}

describe('a template', () => {
  it('is filled inside the texts of its JSON, whatever the values hold', async () => {
    const template =
      '{"to": ["den"], "message": {"head": "{severity}: {title}", "body": "{text}"}, "priority": "{rank}", "link": "{url}", "as-is": "{{title}}", "n": 3, "no": null}';
    const title = 'Hot "basin" {text} \\ ${x} $& \u2028 27,4 °C';
    const one = await sent(title, { template, method: 'PUT' });
    expect(one.method).toBe('PUT');
    expect(one.headers['content-type']).toBe('application/json; charset=utf-8');
    expect(JSON.parse(one.body)).toEqual({
      to: ['den'],
      message: { head: `critical: ${title}`, body: `${title}\nPull the plug.` },
      priority: 3,
      link: 'http://127.0.0.1:8624/',
      'as-is': '{title}',
      n: 3,
      no: null,
    });
  });

  it('is filled as a form', async () => {
    const one = await sent('a&b=c d+ü', {
      template: 'token=1&title={title}&rank={rank}&what={what}',
      content_type: 'application/x-www-form-urlencoded',
    });
    expect(one.headers['content-type']).toMatch(/^application\/x-www-form-urlencoded/);
    expect(Object.fromEntries(new URLSearchParams(one.body))).toEqual({
      token: '1',
      title: 'a&b=c d+ü',
      rank: '3',
      what: 'It heats.',
    });
  });

  it('is filled as plain text', async () => {
    const one = await sent(
      'Too warm',
      { template: '{title}. {since} ({subject})', content_type: 'text/plain' },
      'notice',
    );
    expect(one.body).toBe('Too warm. Since 3:14 a.m. (Left heater)');
    expect(one.headers['content-type']).toBe('text/plain; charset=utf-8');
  });

  it('never lets a value break out of its JSON text or form field', async () => {
    const { compileTemplate } = await import('../../src/notify/template.ts');
    const json = compileTemplate('x', '{"a": "<{title}>"}', 'application/json');
    const form = compileTemplate('x', 'a={title}&b=1', 'application/x-www-form-urlencoded');
    const message = (title: string) => ({
      ...{ title, what: '', since: '', severity: 'notice' as const, over: false, plain: '' },
      ...{ subject: '', place: undefined, change: 'opened', alert: '', key: '' },
    });
    fc.assert(
      fc.property(fc.string({ unit: 'grapheme' }), (title) => {
        expect(JSON.parse(json(message(title)))).toEqual({ a: `<${title}>` });
        expect([...new URLSearchParams(form(message(title)))]).toEqual([
          ['a', title],
          ['b', '1'],
        ]);
      }),
      runs(200),
    );
  });

  it.each(['{"a": "{titel}"}', 'title: {title}'])('such as %s is refused', (template) => {
    const config = { ...webhookOf('http://127.0.0.1:1/'), template };
    expect(() => createWebhook('push', config, { logger: keepLog() })).toThrowError(
      expect.objectContaining({ code: 'AMP_NOTIFY_TEMPLATE' }),
    );
  });
});
