import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { createTransport } from 'nodemailer';
import type { Delivery } from '../alerts/index.ts';
import { CodedError, MINUTE, type Millis, SECOND } from '../units/index.ts';
import type { Attempt, Channel } from './channel.ts';
import type { MailConfig } from './config.ts';
import { explainMailFault } from './mail-faults.ts';
import { type Message, readMessage } from './message.ts';

const PORTS = { tls: 465, starttls: 587, none: 25 } as const;
/** A server that sends a byte now and then must not hold the channel for ever. */
const LONGEST_SENDING = (3 * MINUTE) as Millis;

/**
 * Sends each message as a plain-text mail over a connection of its own. Its Message-ID follows from
 * the delivery's id, so that a mail that is sent again after a kill is known for the same one;
 * Auto-Submitted (RFC 3834) keeps answering machines quiet. A password never goes over a connection
 * that is not encrypted.
 * @throws CodedError AMP_NOTIFY_PLAIN_PASSWORD
 */
export function createMailChannel(
  id: string,
  config: MailConfig,
  { pageUrl }: { pageUrl?: string | undefined } = {},
): Channel {
  const { severities, after_min, security, user, password } = config;
  if (security === 'none' && (user !== undefined || password !== undefined)) {
    throw new CodedError(
      'AMP_NOTIFY_PLAIN_PASSWORD',
      `notify.mail.${id} would send its password over a connection that is not encrypted`,
      { remedy: 'use security: starttls or tls, or a relay that asks for no password' },
    );
  }
  return {
    name: `mail-${id}`,
    takes: 'messages',
    severities,
    after: (after_min * MINUTE) as Millis,
    async send(delivery): Promise<Attempt> {
      const authority = await readAuthority(config);
      if (typeof authority === 'object' && 'kind' in authority) return authority;
      const transport = createTransport(settingsOf(config, authority));
      let timer: NodeJS.Timeout | undefined;
      try {
        const tooLong = new Promise<never>((_, reject) => {
          const late = Object.assign(new Error('too slow'), { code: 'ETIMEDOUT' });
          timer = setTimeout(() => reject(late), LONGEST_SENDING);
        });
        const sending = transport.sendMail(mailOf(delivery, config, pageUrl));
        const { rejected } = await Promise.race([sending, tooLong]);
        if (rejected.length === 0) return { kind: 'delivered' };
        // Sent again, it would reach the others again: once is what they were promised.
        const count = `${rejected.length} of ${config.to.length} recipients`;
        return { kind: 'delivered', caveat: `${config.host} refuses ${count}` };
      } catch (cause) {
        return explainMailFault(cause, config);
      } finally {
        clearTimeout(timer);
        transport.close();
      }
    },
  };
}

const CA_FILE = 'AMP_NOTIFY_CA_FILE';

type Authority = string | undefined;

async function readAuthority({ ca_file: file }: MailConfig): Promise<Authority | Attempt> {
  if (file === undefined) return undefined;
  try {
    return await readFile(file, 'utf8');
  } catch {
    return {
      kind: 'failed',
      why: `${CA_FILE}: cannot read '${file}'`,
      permanent: true,
      remedy: 'give the PEM file of the authority that signed the mail server',
    };
  }
}

function settingsOf(config: MailConfig, authority: Authority) {
  const { host, port, security, user, password, timeout_s } = config;
  const patience = timeout_s * SECOND;
  return {
    host,
    port: port ?? PORTS[security],
    secure: security === 'tls',
    requireTLS: security === 'starttls',
    ignoreTLS: security === 'none',
    ...(user === undefined ? {} : { auth: { user, pass: password ?? '' } }),
    tls: { minVersion: 'TLSv1.2', ...(authority === undefined ? {} : { ca: authority }) } as const,
    dnsTimeout: patience,
    connectionTimeout: patience,
    greetingTimeout: patience,
    socketTimeout: patience,
    disableFileAccess: true,
    disableUrlAccess: true,
  };
}

function mailOf(delivery: Delivery, { from, to }: MailConfig, pageUrl: string | undefined) {
  const message = readMessage(delivery);
  const messageId = messageIdOf(delivery.id, from);
  const opening = messageIdOf(`${delivery.alert}/opened/${delivery.channel}`, from);
  return {
    from,
    to: [...to],
    subject: subjectOf(message),
    text: pageUrl === undefined ? message.plain : `${message.plain}\n\n${pageUrl}`,
    messageId,
    // The same mail again, to the last byte of its header.
    date: new Date(delivery.created),
    headers: { 'Auto-Submitted': 'auto-generated' },
    ...(opening === messageId ? {} : { inReplyTo: opening, references: [opening] }),
  };
}

const messageIdOf = (key: string, from: string): string => {
  const digest = createHash('sha256').update(key).digest('hex').slice(0, 40);
  return `<${digest}@${from.slice(from.lastIndexOf('@') + 1)}>`;
};

/** How bad and where come first: a pager shows little more. */
function subjectOf({ over, severity, place, title }: Message): string {
  // The title of what is over says so itself.
  const rank = over ? undefined : severity.toUpperCase();
  const head = [rank, place].filter((part) => part !== undefined && part !== '').join(' ');
  return head === '' ? title : `${head}: ${title}`;
}
