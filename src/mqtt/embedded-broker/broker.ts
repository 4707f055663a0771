import { createServer, type Server, type Socket } from 'node:net';
import { CodedError, type Logger } from '../../units/index.ts';
import type { LinkTarget } from '../contract.ts';
import { bundleWrites } from './bundling.ts';
import { createComplaints } from './complaints.ts';
import { allowOvertaking } from './overtaking.ts';

/** A broker inside this process, for sites that have none. It speaks MQTT 3.1 and 3.1.1. */
export interface EmbeddedBroker {
  readonly port: number;
  /** How to link to it: it speaks no version 5, and its sessions end with the process. */
  readonly target: LinkTarget;
  /** Closes the listener and every connection. */
  stop(): Promise<void>;
}

/** The broker asks for no password, so it must not be reached from other machines. */
const HOST = '127.0.0.1';
/** Messages handed out at the same time; enough that one subscriber's full socket stalls no other. */
const CONCURRENCY = 500;
/** A subscriber that has not read for this long is dropped, or it would stall all. */
const DRAIN_TIMEOUT_MS = 60_000;

/**
 * Starts a broker on 127.0.0.1. Port 0 picks a free one.
 *
 * @throws CodedError AMP_MQTT_PORT_TAKEN when another program listens there, AMP_MQTT_PORT when
 * the port cannot be opened for another reason.
 */
export async function startEmbeddedBroker(options: {
  readonly port: number;
  readonly logger: Logger;
}): Promise<EmbeddedBroker> {
  const { logger } = options;
  // Loaded here so that sites with their own broker never load it.
  const { Aedes } = await import('aedes');
  const broker = await Aedes.createBroker({
    concurrency: CONCURRENCY,
    drainTimeout: DRAIN_TIMEOUT_MS,
  });
  allowOvertaking(broker);
  const complaints = createComplaints(logger);
  broker.on('clientError', (client, error) => complaints.note(client.id, error));
  broker.on('connectionError', (client, error) => complaints.note(client.id, error));

  const server = createServer((socket: Socket) => {
    socket.setNoDelay(true);
    bundleWrites(socket);
    broker.handle(socket);
  });
  const closeBroker = () => new Promise<void>((resolve) => broker.close(resolve));
  let port: number;
  try {
    port = await listen(server, options.port);
  } catch (error) {
    await closeBroker();
    throw error;
  }
  logger.info({ host: HOST, port }, 'the embedded broker listens');

  return {
    port,
    target: { url: `mqtt://${HOST}:${port}`, protocol: '3.1.1', session: 'fresh' },
    async stop() {
      const closed = new Promise<void>((resolve) => {
        server.close(() => resolve());
      });
      await closeBroker();
      await closed;
      complaints.stop();
    },
  };
}

function listen(server: Server, port: number): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once('error', (cause: NodeJS.ErrnoException) => reject(cannotListen(port, cause)));
    server.listen(port, HOST, () => {
      const address = server.address();
      resolve(typeof address === 'object' && address !== null ? address.port : port);
    });
  });
}

function cannotListen(port: number, cause: NodeJS.ErrnoException): CodedError {
  if (cause.code === 'EADDRINUSE') {
    return new CodedError('AMP_MQTT_PORT_TAKEN', `another program listens on ${HOST}:${port}`, {
      remedy:
        "is it a broker? Then set broker.kind to 'external' and broker.url to it; else give the embedded one another broker.port",
      cause,
    });
  }
  return new CodedError(
    'AMP_MQTT_PORT',
    `the embedded broker cannot listen on ${HOST}:${port}: ${cause.message}`,
    { remedy: 'give it another broker.port, above 1023 for an ordinary user', cause },
  );
}
