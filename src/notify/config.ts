import { z } from 'zod';
import { id } from '../units/config.ts';

/** What a webhook's template may name, with what is put there. */
export const PLACEHOLDERS = {
  title: 'what is wrong, and where',
  text: 'the whole message as plain text',
  what: 'one sentence',
  since: 'since when, in local time',
  severity: 'critical, warning or notice',
  rank: '3, 2 or 1; a number where a JSON text is nothing but this',
  change: 'why it is sent: opened, worsened, closed …',
  subject: 'the name of the device, tank, plug, probe or room',
  alert: 'the id of the alert',
  key: 'the id of the message, the same at every attempt',
  url: 'notify.page_url',
} as const;

export type Placeholder = keyof typeof PLACEHOLDERS;

/** '{word}' is a placeholder, '{{word}}' the word in single braces. */
export const IN_BRACES = /\{\{([a-z_]+)\}\}|\{([a-z_]+)\}/g;

/** The words that a template has in single braces and that mean nothing. */
export const unknownPlaceholders = (template: string): string[] =>
  [...template.matchAll(IN_BRACES)].flatMap(([, , word]) =>
    word === undefined || Object.hasOwn(PLACEHOLDERS, word) ? [] : [word],
  );

const severities = z
  .array(z.enum(['critical', 'warning', 'notice']))
  .min(1)
  .default(['critical', 'warning', 'notice'])
  .describe('What it is told of.');

const afterMin = z
  .number()
  .min(0)
  .max(1440)
  .default(0)
  .describe('Told only of what nobody has acknowledged after so many minutes; 0 tells at once.');

const mailAddress = z
  .string()
  .max(254)
  .regex(
    /^[^\s<>()[\]@,;:"\\]+@[^\s<>()[\]@,;:"\\]+$/,
    'a bare mail address such as name@host.example',
  );

const webhook = z.strictObject({
  url: z.string().describe('http:// or https:// address that takes the message.'),
  method: z.enum(['POST', 'PUT']).default('POST').describe('How it is sent.'),
  headers: z
    .record(z.string(), z.string())
    .default({})
    .describe('Sent with each message; secrets best as ${file:PATH} or ${env:NAME}.'),
  content_type: z
    .enum(['application/json', 'application/x-www-form-urlencoded', 'text/plain'])
    .default('application/json')
    .describe('What the template makes; decides how values are escaped in it.'),
  template: z
    .string()
    .min(1)
    .max(10_000)
    .optional()
    .describe(
      `The body to send, with placeholders: ${Object.keys(PLACEHOLDERS)
        .map((word) => `{${word}}`)
        .join(', ')}. Without it, the JSON of docs/alerts.md.`,
    ),
  timeout_s: z
    .number()
    .positive()
    .max(120)
    .default(10)
    .describe('An answer that takes longer counts as none, seconds.'),
  severities,
  after_min: afterMin,
});

const mail = z.strictObject({
  host: z
    .string()
    .regex(/^[^\s/@:]+$|^[0-9a-fA-F:]+$/, 'a host name or an IP address, without a port')
    .describe('The server that takes outgoing mail (SMTP).'),
  port: z
    .number()
    .int()
    .min(1)
    .max(65_535)
    .optional()
    .describe('By default 465 with tls, 587 with starttls, 25 with none.'),
  security: z
    .enum(['starttls', 'tls', 'none'])
    .default('starttls')
    .describe(
      'tls from the first byte; starttls: begun in plain text and never gone on with so; none: a relay on your own network that asks for no password.',
    ),
  ca_file: z.string().optional().describe('PEM file of the authority that signed the server.'),
  user: z.string().min(1).optional().describe('Together with password.'),
  password: z.string().min(1).optional().describe('Best as ${file:PATH} or ${env:NAME}.'),
  from: mailAddress.describe('The sender; the server must let this user send as it.'),
  to: z.array(mailAddress).min(1).max(20).describe('Who gets it.'),
  timeout_s: z
    .number()
    .positive()
    .max(120)
    .default(30)
    .describe('How long the server may stay silent, seconds.'),
  severities,
  after_min: afterMin,
});

const heartbeat = z.strictObject({
  url: z.string().describe('http:// or https:// address that expects to be called.'),
  method: z.enum(['GET', 'POST']).default('GET').describe('How it is called.'),
  every_min: z.number().min(1).max(1440).default(5).describe('How often, minutes.'),
});

export const notifyConfig = z
  .strictObject({
    mqtt: z
      .strictObject({ enabled: z.boolean().default(true).describe('Publish alerts.') })
      .prefault({})
      .describe('Alerts as retained messages below the daemon’s own topic.'),
    webhooks: z.record(id, webhook).default({}).describe('Alerts to addresses on the web.'),
    mail: z.record(id, mail).default({}).describe('Alerts by e-mail.'),
    page_url: z
      .string()
      .optional()
      .describe('Where you reach the page; stands in mails and as {url} in templates.'),
    heartbeat: heartbeat
      .optional()
      .describe('Called while the daemon is well: silence there means that it is not.'),
  })
  .describe('How alerts get through.');

export type NotifyConfig = z.infer<typeof notifyConfig>;
export type WebhookConfig = NotifyConfig['webhooks'][string];
export type MailConfig = NotifyConfig['mail'][string];
export type HeartbeatConfig = NonNullable<NotifyConfig['heartbeat']>;
