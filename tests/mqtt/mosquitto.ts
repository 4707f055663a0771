import { type ChildProcess, execFile, execFileSync, spawn } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { connect } from 'node:net';
import { tmpdir, userInfo } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { describe, vi } from 'vitest';
import { freePorts } from './sockets.ts';

const HOST = '127.0.0.1';

/** Debian's broker, started on loopback with a configuration of its own. */
export interface Mosquitto {
  /** Asks for a user and password. */
  readonly port: number;
  /** The same behind TLS; its certificate is signed by `authorityFile`. */
  readonly tlsPort: number;
  /** Asks for nothing. */
  readonly openPort: number;
  readonly authorityFile: string;
  /** Takes effect at the next start or reload. */
  setPassword(user: string, password: string): void;
  /** Has the running broker read its password file again. */
  reload(): void;
  start(): Promise<void>;
  /** Ends the broker and keeps its files, so that it can be started again. */
  stop(signal?: 'SIGTERM' | 'SIGKILL'): Promise<void>;
  /** Runs the command-line publisher. */
  publish(...args: string[]): Promise<void>;
  /** Ends the broker and removes its files. */
  remove(): Promise<void>;
}

function isInstalled(): boolean {
  try {
    for (const program of ['mosquitto_pub', 'mosquitto_passwd', 'openssl']) {
      execFileSync('sh', ['-c', `command -v ${program}`], { stdio: 'ignore' });
    }
    execFileSync('sh', ['-c', 'command -v mosquitto || test -x /usr/sbin/mosquitto']);
    return true;
  } catch {
    return false;
  }
}

const { AMPULLA_REQUIRE_SERVICES, PATH } = process.env;
const required = AMPULLA_REQUIRE_SERVICES === '1';

/** Skipped where the broker is not installed, unless AMPULLA_REQUIRE_SERVICES=1: then it fails. */
export const describeWithMosquitto = isInstalled() || required ? describe : describe.skip;

export async function createMosquitto(user: string, password: string): Promise<Mosquitto> {
  if (!isInstalled()) {
    throw new Error('these tests need mosquitto, mosquitto-clients and openssl installed');
  }
  const folder = mkdtempSync(join(tmpdir(), 'ampulla-mosquitto-'));
  const [port = 0, tlsPort = 0, openPort = 0] = await freePorts(3);
  const authorityFile = makeCertificates(folder);
  const passwordFile = join(folder, 'passwords');
  const configFile = join(folder, 'mosquitto.conf');
  writeFileSync(
    configFile,
    [
      `user ${userInfo().username}`,
      'per_listener_settings true',
      'persistence false',
      `listener ${port} ${HOST}`,
      'allow_anonymous false',
      `password_file ${passwordFile}`,
      `listener ${tlsPort} ${HOST}`,
      'allow_anonymous false',
      `password_file ${passwordFile}`,
      `certfile ${join(folder, 'broker.crt')}`,
      `keyfile ${join(folder, 'broker.key')}`,
      `listener ${openPort} ${HOST}`,
      'allow_anonymous true',
      '',
    ].join('\n'),
  );
  let broker: ChildProcess | undefined;
  let said = '';

  const mosquitto: Mosquitto = {
    port,
    tlsPort,
    openPort,
    authorityFile,
    setPassword(name, word) {
      execFileSync('mosquitto_passwd', ['-c', '-b', passwordFile, name, word], { stdio: 'ignore' });
    },
    reload() {
      broker?.kill('SIGHUP');
    },
    async start() {
      // Where Debian puts it is not on every user's path.
      const env = { ...process.env, PATH: `${PATH}:/usr/sbin` };
      broker = spawn('mosquitto', ['-c', configFile], { env });
      const started = broker;
      started.stderr?.on('data', (chunk) => {
        said += chunk;
      });
      await vi.waitFor(
        async () => {
          if (started.exitCode !== null) throw new Error(`mosquitto ended: ${said}`);
          await Promise.all([port, tlsPort, openPort].map(answers));
        },
        { timeout: 10_000, interval: 20 },
      );
    },
    async stop(signal = 'SIGTERM') {
      const stopped = broker;
      broker = undefined;
      if (stopped === undefined || stopped.exitCode !== null) return;
      const exit = new Promise((resolve) => stopped.once('exit', resolve));
      stopped.kill(signal);
      await exit;
    },
    async publish(...args) {
      await promisify(execFile)('mosquitto_pub', ['-h', HOST, ...args]);
    },
    async remove() {
      await mosquitto.stop();
      rmSync(folder, { recursive: true });
    },
  };
  mosquitto.setPassword(user, password);
  return mosquitto;
}

function answers(port: number): Promise<void> {
  return new Promise((resolve, reject) => {
    const socket = connect({ host: HOST, port });
    socket.once('connect', () => {
      socket.destroy();
      resolve();
    });
    socket.once('error', reject);
  });
}

function makeCertificates(folder: string): string {
  const openssl = (...args: string[]) =>
    execFileSync('openssl', args, { cwd: folder, stdio: ['ignore', 'ignore', 'pipe'] });
  const newKey = ['-newkey', 'ec', '-pkeyopt', 'ec_paramgen_curve:prime256v1', '-nodes'];
  openssl(
    ...['req', '-x509', ...newKey, '-days', '2', '-subj', '/CN=Heron Loft Test Authority'],
    ...['-keyout', 'authority.key', '-out', 'authority.crt'],
  );
  openssl(
    ...['req', ...newKey, '-subj', '/CN=localhost', '-keyout', 'broker.key', '-out', 'broker.csr'],
  );
  writeFileSync(join(folder, 'names.txt'), 'subjectAltName=DNS:localhost,IP:127.0.0.1\n');
  openssl(
    ...['x509', '-req', '-in', 'broker.csr', '-CA', 'authority.crt', '-CAkey', 'authority.key'],
    ...['-CAcreateserial', '-days', '2', '-extfile', 'names.txt', '-out', 'broker.crt'],
  );
  return join(folder, 'authority.crt');
}
