import type { Attempt } from './channel.ts';
import type { MailConfig } from './config.ts';

interface Fault {
  readonly code: `AMP_NOTIFY_${string}`;
  readonly what: string;
  readonly remedy: string;
}

/**
 * What went wrong with a mail, in words. A reply of 5xx (RFC 5321) and what only a keeper can mend
 * is permanent. What the server said is kept, what we said to it is not: there may be a password.
 */
export function explainMailFault(cause: unknown, config: MailConfig): Attempt {
  const { code, command, reply, status } = read(cause);
  const fault = faultOf(code, command, config);
  const said = reply === '' ? '' : `: ${withoutSecrets(reply, config)}`;
  const permanent = LASTING.has(fault.code) ? status < 400 || status >= 500 : status >= 500;
  return {
    kind: 'failed',
    why: `${fault.code}: ${fault.what}${said}`,
    remedy: fault.remedy,
    ...(permanent ? { permanent: true } : {}),
  };
}

/** Permanent unless the server says that it is for now (4xx). */
const LASTING: ReadonlySet<string> = new Set(['AMP_NOTIFY_LOGIN', 'AMP_NOTIFY_TLS']);

function faultOf(code: string, command: string, { host, security }: MailConfig): Fault {
  if (code === 'EAUTH' || code === 'ENOAUTH' || command.startsWith('AUTH')) {
    return {
      code: 'AMP_NOTIFY_LOGIN',
      what: `${host} refuses the user or password`,
      remedy: 'check user and password; some servers want a password made for programs',
    };
  }
  if (code === 'ETLS' || code.startsWith('ERR_TLS') || code.includes('CERT') || code === 'ESSL') {
    return {
      code: 'AMP_NOTIFY_TLS',
      what: `no secure connection to ${host} with security: ${security} (${code})`,
      remedy: 'check security, port and ca_file, and that the certificate names this host',
    };
  }
  if (code === 'ETIMEDOUT') {
    return {
      code: 'AMP_NOTIFY_NO_ANSWER',
      what: `no answer from ${host} in time`,
      remedy: 'check host, port and security: tls and starttls have ports of their own',
    };
  }
  if (command === 'MAIL FROM' || command === 'RCPT TO') {
    return {
      code: 'AMP_NOTIFY_ADDRESS',
      what: `${host} refuses ${command === 'MAIL FROM' ? 'the sender' : 'every recipient'}`,
      remedy: 'check from and to: most servers let a user send as itself only',
    };
  }
  if (command === 'DATA' || code === 'EMESSAGE') {
    return {
      code: 'AMP_NOTIFY_REFUSED',
      what: `${host} does not take the message`,
      remedy: 'the reply beside it says why; the server’s own log says more',
    };
  }
  return {
    code: 'AMP_NOTIFY_UNREACHABLE',
    what: `${host} cannot be reached (${code})`,
    remedy: 'check host, port and the network',
  };
}

/** What the library's errors tell; what is not there is told as nothing. */
function read(cause: unknown) {
  const fault: Partial<
    Record<'code' | 'command' | 'response' | 'responseCode' | 'cause', unknown>
  > = typeof cause === 'object' && cause !== null ? cause : {};
  const { code, command, response, responseCode } = fault;
  // Where a handshake fails the library calls it a socket's fault; its cause has the true code.
  const inner = typeof fault.cause === 'object' ? (fault.cause as { code?: unknown } | null) : null;
  const finest = typeof inner?.code === 'string' ? inner.code : code;
  const message = cause instanceof Error ? cause.message : '';
  return {
    code: /certificate|self-signed/i.test(message) ? 'ETLS' : String(finest ?? 'unknown'),
    command: typeof command === 'string' ? command : '',
    reply: typeof response === 'string' ? response : '',
    status: typeof responseCode === 'number' ? responseCode : 0,
  };
}

const REPLY_KEPT = 200;

function withoutSecrets(reply: string, { user, password }: MailConfig): string {
  const line = reply.replace(/[\p{C}\p{Zl}\p{Zp}\s]+/gu, ' ').trim();
  return [password, user]
    .filter((secret) => secret !== undefined)
    .reduce((rest, secret) => rest.replaceAll(secret, '…'), line)
    .slice(0, REPLY_KEPT);
}
