import { PLACEHOLDERS, unknownPlaceholders } from '../../notify/config.ts';
import type { Finding, Path } from '../problem.ts';
import { entriesOf, type Loose, type View } from './view.ts';

type Notify = NonNullable<View['file']['notify']>;
type Webhook = Loose<NonNullable<NonNullable<Notify['webhooks']>[string]>>;
type Mail = Loose<NonNullable<NonNullable<Notify['mail']>[string]>>;

/** Addresses that can be called, headers and templates that can be sent, mails that keep secrets. */
export function checkNotify({ file }: View): Finding[] {
  const { webhooks, mail, heartbeat } = file.notify ?? {};
  return [
    ...entriesOf(webhooks).flatMap(([id, one]) => checkWebhook(one, ['notify', 'webhooks', id])),
    ...entriesOf(mail).flatMap(([id, one]) => checkMail(one, ['notify', 'mail', id])),
    ...checkAddress(heartbeat?.url, ['notify', 'heartbeat', 'url'], IN_THE_PATH),
  ];
}

const IN_A_HEADER = 'put them into a header: authorization: ${env:NAME}';
const IN_THE_PATH = 'use an address that holds its key in the path';

function checkWebhook(webhook: Webhook, path: Path): Finding[] {
  const { url, headers, template, content_type: type } = webhook;
  return [
    ...checkAddress(url, [...path, 'url'], IN_A_HEADER),
    ...entriesOf(headers).flatMap(([name, value]) => checkHeader(name, value, path)),
    ...checkTemplate(template, type ?? 'application/json', [...path, 'template']),
    ...(template === undefined && type !== undefined && type !== 'application/json'
      ? [
          {
            code: 'AMP_CONFIG_TEMPLATE' as const,
            path: [...path, 'content_type'],
            allowed: 'application/json where there is no template',
            remedy: 'write a template, or leave content_type out',
          },
        ]
      : []),
  ];
}

function checkAddress(url: string | undefined, path: Path, remedy: string): Finding[] {
  if (url === undefined) return [];
  const parsed = URL.canParse(url) ? new URL(url) : undefined;
  if (parsed === undefined || !/^https?:$/.test(parsed.protocol)) {
    return [
      {
        code: 'AMP_CONFIG_ADDRESS',
        path,
        allowed: 'an address that begins with http:// or https://',
      },
    ];
  }
  if (parsed.username === '' && parsed.password === '') return [];
  return [
    {
      code: 'AMP_CONFIG_ADDRESS',
      path,
      found: 'an address with a user or password in it',
      allowed: 'an address without',
      remedy,
    },
  ];
}

/** The value may be a secret: it is not told. */
function checkHeader(name: string, value: string, webhook: Path): Finding[] {
  try {
    new Headers([[name, value]]);
    return [];
  } catch {
    return [
      {
        code: 'AMP_CONFIG_HEADER',
        path: [...webhook, 'headers', name],
        found: 'a header that HTTP cannot carry',
        allowed: 'a plain name, and a value in one line of Latin-1 characters',
      },
    ];
  }
}

/** A template may hold a key to the other side: of it only the unknown words are told. */
function checkTemplate(template: string | undefined, type: string, path: Path): Finding[] {
  if (template === undefined) return [];
  const known = Object.keys(PLACEHOLDERS).map((word) => `{${word}}`);
  const unknown = [...new Set(unknownPlaceholders(template))].map((word) => `{${word}}`);
  if (unknown.length > 0) {
    return [
      {
        code: 'AMP_CONFIG_TEMPLATE',
        path,
        found: unknown.join(', '),
        allowed: known.join(', '),
        remedy: 'for the word itself in braces, double them: {{word}}',
      },
    ];
  }
  if (type !== 'application/json' || isJson(template)) return [];
  return [
    {
      code: 'AMP_CONFIG_TEMPLATE',
      path,
      found: 'a text that is no JSON',
      allowed: 'JSON, with placeholders inside its texts, such as {"message": "{text}"}',
      remedy: 'or set content_type to what the template makes',
    },
  ];
}

function isJson(text: string): boolean {
  try {
    JSON.parse(text);
    return true;
  } catch {
    return false;
  }
}

function checkMail({ security, user, password }: Mail, path: Path): Finding[] {
  if (security === 'none' && (user !== undefined || password !== undefined)) {
    return [
      {
        code: 'AMP_CONFIG_PLAIN_PASSWORD',
        path: [...path, 'security'],
        allowed: 'starttls or tls where there is a user or password',
        remedy: 'without encryption anyone on the way could read the password',
      },
    ];
  }
  if ((user === undefined) === (password === undefined)) return [];
  return [
    {
      code: 'AMP_CONFIG_ONE_OF',
      path,
      at: 'key',
      found: user === undefined ? 'a password without a user' : 'a user without a password',
      allowed: 'both or neither',
    },
  ];
}
