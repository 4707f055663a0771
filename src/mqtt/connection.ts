import { connect as connectTcp, isIP, type Socket } from 'node:net';
import { connect as connectTls } from 'node:tls';
import {
  ErrorWithSubackPacket,
  type IClientOptions,
  type IPublishPacket,
  MqttClient,
  validateTopic,
} from 'mqtt';
import type { BrokerAddress } from './address.ts';
import type { Protocol } from './protocol.ts';
import type { Ending } from './trouble.ts';

/** What one connection to the broker needs to know. */
export interface ConnectionPlan {
  readonly broker: BrokerAddress;
  readonly protocol: Protocol;
  readonly clientId: string;
  readonly user: string | undefined;
  readonly password: string | undefined;
  readonly authority: Buffer | undefined;
  /** Whether the broker shall keep subscriptions and QoS 1 messages while we are away. */
  readonly keepSession: boolean;
  readonly keepaliveS: number;
  readonly connectTimeoutMs: number;
  readonly will: { readonly topic: string; readonly payload: string } | undefined;
}

export interface ConnectionEvents {
  accepted(): void;
  /** `done` lets the next packet in and, called without an error, acknowledges this one. */
  message(packet: IPublishPacket, done: (error?: Error) => void): void;
  /** Called once, whoever ended it. */
  ended(ending: Ending): void;
}

/** One connection, from CONNECT to its end. It never reconnects: a new one is made instead. */
export interface Connection {
  /** Grows with everything that comes in, pings included. */
  readonly bytesHeard: number;
  publish(
    topic: string,
    payload: string | Uint8Array,
    options: { qos: 0 | 1; retain: boolean },
  ): Promise<void>;
  /** Resolves to the filters that the broker refused, or that are none. */
  subscribe(filters: readonly string[]): Promise<string[]>;
  unsubscribe(filters: readonly string[]): Promise<void>;
  /** Says good-bye once all answers are in, so that no last will is sent. */
  close(): void;
  /** Cuts the socket; the broker publishes the last will. */
  cut(error: Error): void;
}

/** How long a broker that speaks version 5 keeps our session. */
const SESSION_EXPIRY_S = 3600;
/** QoS 1 messages that a version 5 broker may send ahead of our acknowledgments. */
const RECEIVE_MAXIMUM = 128;
/** Brokers limit the size of a packet; so many filters always fit. */
const FILTERS_A_PACKET = 50;

export function openConnection(plan: ConnectionPlan, events: ConnectionEvents): Connection {
  let socket: Socket | undefined;
  let reached = false;
  let accepted = false;
  let ended = false;
  let refusal: number | undefined;
  let dismissal: number | undefined;
  let error: Error | undefined;
  // The library forgets the callbacks of a lost connection in some states; a caller must not hang.
  const waiting = new Set<(error: Error) => void>();

  const client = new MqttClient(() => {
    socket = openSocket(plan);
    socket.once(plan.broker.secure ? 'secureConnect' : 'connect', () => {
      reached = true;
    });
    socket.once('error', (cause) => {
      error ??= cause;
    });
    return socket;
  }, clientOptions(plan));

  // The acknowledgments of a burst of messages leave together: a write for each costs more than
  // all else that is done with a message.
  let holding = false;
  const release = (): void => {
    holding = false;
    socket?.uncork();
  };
  function holdAcknowledgments(): void {
    if (holding) return;
    holding = true;
    socket?.cork();
    setImmediate(release);
  }

  // `message` events would come before this and cannot hold back the acknowledgment.
  client.handleMessage = (packet, done) => {
    if (packet.qos > 0) holdAcknowledgments();
    events.message(packet, done);
  };
  client.once('packetreceive', (packet) => {
    if (packet.cmd !== 'connack') return;
    const code = packet.reasonCode ?? packet.returnCode ?? 0;
    if (code !== 0) refusal = code;
  });
  client.on('disconnect', (packet) => {
    dismissal = packet.reasonCode ?? 0;
  });
  client.on('connect', () => {
    accepted = true;
    events.accepted();
  });
  client.on('error', (cause) => {
    error ??= cause;
    // A packet that cannot be parsed leaves the stream out of step: only a new connection helps.
    socket?.destroy();
  });
  client.on('close', () => {
    if (ended) return;
    ended = true;
    for (const reject of waiting) reject(new Error('the connection ended'));
    waiting.clear();
    events.ended({ accepted, reached, refusal, dismissal, error });
  });

  function answered<T>(ask: () => Promise<T>): Promise<T> {
    return new Promise((resolve, reject) => {
      if (ended) return reject(new Error('the connection ended'));
      waiting.add(reject);
      ask()
        .then(resolve, reject)
        .finally(() => waiting.delete(reject));
    });
  }

  async function subscribeSome(filters: string[]): Promise<string[]> {
    try {
      await answered(() => client.subscribeAsync(filters, { qos: 1 }));
      return [];
    } catch (cause) {
      if (!(cause instanceof ErrorWithSubackPacket) || cause.packet === undefined) throw cause;
      const { granted } = cause.packet;
      if (granted.length !== filters.length) throw cause;
      return filters.filter((_, index) => Number(granted[index]) >= 0x80);
    }
  }

  return {
    get bytesHeard() {
      return socket?.bytesRead ?? 0;
    },
    async publish(topic, payload, options) {
      const bytes =
        typeof payload === 'string'
          ? payload
          : Buffer.from(payload.buffer, payload.byteOffset, payload.byteLength);
      await answered(() => client.publishAsync(topic, bytes, options));
    },
    async subscribe(filters) {
      const malformed = filters.filter((filter) => !isFilter(filter));
      const refused = await Promise.all(inBatches(filters.filter(isFilter)).map(subscribeSome));
      return [...malformed, ...refused.flat()];
    },
    async unsubscribe(filters) {
      const batches = inBatches(filters.filter(isFilter));
      await Promise.all(batches.map((batch) => answered(() => client.unsubscribeAsync(batch))));
    },
    close() {
      if (ended || !accepted) socket?.destroy();
      else client.end(false);
    },
    cut(cause) {
      error ??= cause;
      socket?.destroy();
    },
  };
}

/** A broker ends the connection of who sends it anything else (MQTT 5 §4.7.1). */
const isFilter = (text: string): boolean =>
  text !== '' && !text.includes('\0') && validateTopic(text);

function inBatches(filters: readonly string[]): string[][] {
  const batches: string[][] = [];
  for (let at = 0; at < filters.length; at += FILTERS_A_PACKET) {
    batches.push(filters.slice(at, at + FILTERS_A_PACKET));
  }
  return batches;
}

function openSocket({ broker, authority }: ConnectionPlan): Socket {
  const { host, port } = broker;
  const socket = broker.secure
    ? connectTls({
        host,
        port,
        ...(isIP(host) === 0 ? { servername: host } : {}),
        ...(authority === undefined ? {} : { ca: authority }),
      })
    : connectTcp({ host, port });
  return socket.setNoDelay(true);
}

function clientOptions(plan: ConnectionPlan): IClientOptions {
  const { user, password, will } = plan;
  const options: IClientOptions = {
    clientId: plan.clientId,
    protocolVersion: plan.protocol === '5' ? 5 : 4,
    clean: !plan.keepSession,
    keepalive: plan.keepaliveS,
    connectTimeout: plan.connectTimeoutMs,
    // The link reconnects: with back-off, in the version that fits, and after a refusal as well.
    reconnectPeriod: 0,
    resubscribe: false,
    queueQoSZero: false,
    // The library's debug output prints whole packets, and with CONNECT the password.
    log: () => {},
  };
  if (user !== undefined) options.username = user;
  if (password !== undefined) options.password = password;
  if (will !== undefined) {
    options.will = { topic: will.topic, payload: Buffer.from(will.payload), qos: 1, retain: true };
  }
  if (plan.protocol === '5') {
    options.properties = {
      receiveMaximum: RECEIVE_MAXIMUM,
      ...(plan.keepSession ? { sessionExpiryInterval: SESSION_EXPIRY_S } : {}),
    };
  }
  return options;
}
