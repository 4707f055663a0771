import { execFileSync } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { type AddressInfo, createServer, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { SMTPServer, type SMTPServerOptions } from 'smtp-server';

/** A certificate for 127.0.0.1 that signs itself, and the file by which a client trusts it. */
export interface Certificate {
  readonly key: string;
  readonly cert: string;
  readonly file: string;
  remove(): void;
}

export function makeCertificate(): Certificate {
  const folder = mkdtempSync(join(tmpdir(), 'ampulla-mail-'));
  const [keyFile, file] = [join(folder, 'server.key'), join(folder, 'server.crt')];
  execFileSync(
    'openssl',
    [
      ...['req', '-x509', '-newkey', 'ec', '-pkeyopt', 'ec_paramgen_curve:prime256v1', '-nodes'],
      ...['-days', '2', '-subj', '/CN=Heron Lane Test Mail', '-keyout', keyFile, '-out', file],
      ...['-addext', 'subjectAltName=IP:127.0.0.1'],
    ],
    { stdio: 'ignore' },
  );
  return {
    key: readFileSync(keyFile, 'utf8'),
    cert: readFileSync(file, 'utf8'),
    file,
    remove: () => rmSync(folder, { recursive: true }),
  };
}

export interface Mail {
  readonly from: string;
  readonly to: readonly string[];
  readonly secure: boolean;
  readonly user: string | undefined;
  readonly source: string;
}

export interface MailServer {
  readonly port: number;
  readonly mails: Mail[];
  close(): Promise<void>;
}

const PASSWORD = 'open-sesame-1';
export const LOGIN = { user: 'ampulla', password: PASSWORD } as const;

/** A real SMTP server on loopback that keeps what it takes. */
export async function mailServer(
  certificate: Certificate,
  options: SMTPServerOptions = {},
  port = 0,
): Promise<MailServer> {
  const mails: Mail[] = [];
  const server = new SMTPServer({
    key: certificate.key,
    cert: certificate.cert,
    authOptional: true,
    onAuth({ username, password }, _session, done) {
      if (username === LOGIN.user && password === PASSWORD) done(null, { user: username });
      else done(new Error(`no such user: ${username} ${password}`));
    },
    onData(stream, session, done) {
      const parts: Buffer[] = [];
      stream.on('data', (part: Buffer) => parts.push(part));
      stream.on('end', () => {
        const { mailFrom, rcptTo } = session.envelope;
        mails.push({
          from: mailFrom === false ? '' : mailFrom.address,
          to: rcptTo.map(({ address }) => address),
          secure: session.secure,
          user: session.user,
          source: Buffer.concat(parts).toString(),
        });
        done();
      });
    },
    ...options,
  });
  // A client that breaks off is what some tests are about.
  server.on('error', () => {});
  server.listen(port, '127.0.0.1');
  await once(server.server, 'listening');
  return {
    port: (server.server.address() as AddressInfo).port,
    mails,
    close: () => new Promise((resolve) => server.close(() => resolve())),
  };
}

/** A server that does with each connection what the test wants. */
export async function rawServer(
  onSocket: (socket: Socket) => void,
): Promise<{ readonly port: number; close(): Promise<void> }> {
  const sockets = new Set<Socket>();
  const server = createServer((socket) => {
    sockets.add(socket);
    socket.on('error', () => {});
    onSocket(socket);
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  return {
    port: (server.address() as AddressInfo).port,
    async close() {
      for (const socket of sockets) socket.destroy();
      server.close();
      await once(server, 'close');
    },
  };
}

/** The header of a mail, unfolded (RFC 5322, 2.2.3), names in lowercase. */
export function headerOf(source: string): ReadonlyMap<string, string> {
  const head = source.slice(0, source.indexOf('\r\n\r\n')).replace(/\r\n[ \t]+/g, ' ');
  return new Map(
    head.split('\r\n').map((line) => {
      const colon = line.indexOf(':');
      return [line.slice(0, colon).toLowerCase(), line.slice(colon + 1).trim()];
    }),
  );
}

/** The text of a mail of one part. */
export function textOf(source: string): string {
  const body = source.slice(source.indexOf('\r\n\r\n') + 4);
  const encoding = headerOf(source).get('content-transfer-encoding');
  if (encoding === 'base64') return Buffer.from(body, 'base64').toString();
  if (encoding !== 'quoted-printable') return body;
  const bytes = body
    .replace(/=\r\n/g, '')
    .replace(/=([0-9A-F]{2})/g, (_, hex: string) => String.fromCharCode(Number.parseInt(hex, 16)));
  return Buffer.from(bytes, 'latin1').toString();
}
