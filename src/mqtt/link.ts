import { X509Certificate } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { CodedError } from '../units/index.ts';
import { brokerAddress } from './address.ts';
import { PATIENT, waitBefore } from './back-off.ts';
import { type Connection, type ConnectionPlan, openConnection } from './connection.ts';
import type { BrokerLink, LinkOptions, LinkState, PublishOptions } from './contract.ts';
import { createGate } from './gate.ts';
import { createIntake } from './intake.ts';
import { chooseAfter, firstChoice } from './protocol.ts';
import { answerOf, type Ending, explain } from './trouble.ts';

const CONNECT_TIMEOUT_MS = 15_000;
/** A connection that lasted this long was a good one: after its loss the back-off starts anew. */
const GOOD_AFTER_MS = 10_000;
/** Within so many failures another version is tried at once, without a word of trouble. */
const PATIENCE_WITH_VERSIONS = 4;
const KEEPALIVE_S = 30;
const SILENCE_LIMIT_S = 300;
const GOODBYE_MS = 1_000;
/** The same trouble again and again is told only this often. */
const REPEAT_TROUBLE_MS = 600_000;

/**
 * The link to an MQTT broker. It keeps itself up: whatever ends a connection, a new one is made
 * after a growing wait, and everything is subscribed again on it.
 *
 * @throws CodedError AMP_MQTT_URL when `config.url` is not the URL of a broker.
 */
export function createBrokerLink(options: LinkOptions): BrokerLink {
  const { config, clock, logger, root } = options;
  const broker = brokerAddress(config.url);
  const retry = options.retry ?? PATIENT;
  const random = options.random ?? Math.random;
  const silenceLimitMs = (config.silence_limit_s ?? SILENCE_LIMIT_S) * 1000;
  const clientId = config.client_id ?? `ampulla-${options.siteId}`;
  const stateTopic = root === undefined ? undefined : `${root}/state`;
  const intake = createIntake(options.receive, clock, logger);
  const ready = createGate();

  let filters = unique(options.filters);
  /** What the broker may still hold for us and we no longer want. */
  let strays = unique(options.formerFilters ?? []);
  let authority: Buffer | undefined;
  let choice = firstChoice(config.protocol ?? 'auto');
  let connection: Connection | undefined;
  /** The connection, from the broker's acceptance to its end. */
  let accepted: Connection | undefined;
  let acceptedAt = 0;
  let lastHeard = 0;
  let bytesHeard = 0;
  let failures = 0;
  let troubleTold = 0;
  let retryTimer: NodeJS.Timeout | undefined;
  let watchdog: NodeJS.Timeout | undefined;
  let stopping: Promise<void> | undefined;
  let onEnded = (): void => {};

  let phase: LinkState['connection'] = 'connecting';
  let since = clock.now();
  let reconnects = 0;
  let refusedSubscriptions: readonly string[] = [];
  let protocol: LinkState['protocol'];
  let trouble: CodedError | undefined;

  const state = (): LinkState => ({
    connection: phase,
    since,
    lastMessage: intake.lastMessage,
    reconnects,
    refusedSubscriptions,
    protocol,
    trouble,
    failedReceives: intake.failures,
  });

  function enter(next: LinkState['connection']): void {
    if (phase !== next) {
      phase = next;
      since = clock.now();
    }
    options.onState?.(state());
  }

  function plan(): ConnectionPlan {
    return {
      broker,
      protocol: choice.next,
      clientId,
      user: config.user,
      password: config.password,
      authority,
      keepSession: config.session !== 'fresh',
      // Well below the silence limit, so that a quiet but healthy broker is heard in time.
      keepaliveS: Math.max(1, Math.min(KEEPALIVE_S, Math.floor(silenceLimitMs / 3000))),
      connectTimeoutMs: CONNECT_TIMEOUT_MS,
      will: stateTopic === undefined ? undefined : { topic: stateTopic, payload: 'offline' },
    };
  }

  function connect(): void {
    const opened = openConnection(plan(), {
      accepted: () => welcome(opened),
      message(packet, done) {
        // What comes after the stop stays with the broker, unacknowledged, for the next start.
        if (stopping === undefined) intake.take(packet, done);
        else done(new Error('stopping'));
      },
      ended: lost,
    });
    connection = opened;
  }

  function welcome(on: Connection): void {
    if (protocol !== undefined) reconnects += 1;
    accepted = on;
    acceptedAt = clock.monotonic();
    lastHeard = acceptedAt;
    bytesHeard = on.bytesHeard;
    choice = chooseAfter(choice, 'accepted');
    protocol = choice.next;
    trouble = undefined;
    logger.info({ broker: broker.text, protocol }, 'connected to the broker');
    if (stateTopic !== undefined) publish(stateTopic, 'online', { retain: true }).catch(ignore);
    const gone = strays.filter((stray) => !filters.includes(stray));
    void ask(on, gone, filters).then((answered) => {
      if (!answered) return;
      strays = [];
      ready.open();
    });
    enter('connected');
  }

  /** Whether the broker has answered all of it. */
  async function ask(
    on: Connection,
    gone: readonly string[],
    wanted: readonly string[],
  ): Promise<boolean> {
    try {
      const [refused] = await Promise.all([on.subscribe(wanted), on.unsubscribe(gone)]);
      if (on !== accepted) return false;
      noteRefused(refused);
      return true;
    } catch (cause) {
      // Either the connection has ended, or the broker broke the protocol: without subscriptions
      // a connection is worth nothing, and a new one subscribes again.
      on.cut(cause as Error);
      return false;
    }
  }

  function noteRefused(refused: readonly string[]): void {
    if (refused.length > 0) {
      logger.warn(
        { broker: broker.text, filters: refused },
        'the broker refused subscriptions: nothing will be heard on these topics',
      );
    }
    const before = refusedSubscriptions;
    const stillWanted = before.filter((filter) => filters.includes(filter));
    refusedSubscriptions = unique([...stillWanted, ...refused]);
    if (before.length > 0 || refused.length > 0) options.onState?.(state());
  }

  function lost(ending: Ending): void {
    const good = accepted !== undefined && clock.monotonic() - acceptedAt >= GOOD_AFTER_MS;
    connection = undefined;
    accepted = undefined;
    ready.shut();
    onEnded();
    if (stopping !== undefined) return;
    failures = good ? 1 : failures + 1;
    refusedSubscriptions = [];
    const spoke = choice.next;
    choice = chooseAfter(choice, answerOf(ending));
    if (choice.next !== spoke && failures < PATIENCE_WITH_VERSIONS) {
      logger.info({ broker: broker.text, spoke, next: choice.next }, 'trying another MQTT version');
      retryTimer = setTimeout(connect, 0);
    } else {
      const waitMs = waitBefore(retry, failures, random());
      retryTimer = setTimeout(connect, waitMs);
      tell(explain(ending, broker, clientId), waitMs);
    }
    enter(protocol === undefined ? 'connecting' : 'lost');
  }

  function tell(found: CodedError, waitMs: number): void {
    const now = clock.monotonic();
    const repeated = trouble?.message === found.message && now - troubleTold < REPEAT_TROUBLE_MS;
    trouble = found;
    if (!repeated) troubleTold = now;
    const fields = { code: found.code, remedy: found.remedy, retry_in_ms: waitMs };
    logger[repeated ? 'debug' : 'warn'](fields, found.message);
  }

  // Looks at what the socket has read, so that a message costs nothing here.
  function watch(): void {
    if (accepted === undefined) return;
    const now = clock.monotonic();
    if (accepted.bytesHeard !== bytesHeard) {
      bytesHeard = accepted.bytesHeard;
      lastHeard = now;
    }
    const silentMs = now - lastHeard;
    if (silentMs < silenceLimitMs) return;
    accepted.cut(new Error(`nothing heard for ${Math.round(silentMs / 1000)} s`));
  }

  async function publish(
    topic: string,
    payload: string | Uint8Array,
    { retain = false, qos = 1 }: PublishOptions = {},
  ): Promise<void> {
    if (!isTopic(topic)) {
      throw new CodedError('AMP_MQTT_TOPIC', `'${topic.slice(0, 120)}' is no topic to publish on`, {
        remedy: 'a topic is 1 to 65535 bytes of text without +, # or U+0000',
      });
    }
    if (accepted === undefined) {
      throw new CodedError('AMP_MQTT_NOT_CONNECTED', `not connected to ${broker.text}`, {
        remedy: 'keep the message and publish it once the link is connected again',
      });
    }
    try {
      await accepted.publish(topic, payload, { retain, qos });
    } catch (cause) {
      const why = (cause as Error).message;
      throw new CodedError(
        'AMP_MQTT_NOT_PUBLISHED',
        `${broker.text} did not take a message for ${topic}: ${why}`,
        { remedy: 'publish it again; if that fails too, check what the broker allows', cause },
      );
    }
  }

  async function goodbye(): Promise<void> {
    clearTimeout(retryTimer);
    clearInterval(watchdog);
    if (stateTopic !== undefined && accepted !== undefined) {
      await within(GOODBYE_MS, publish(stateTopic, 'offline', { retain: true }).catch(ignore));
    }
    if (connection !== undefined) {
      const ended = new Promise<void>((resolve) => {
        onEnded = resolve;
      });
      connection.close();
      await within(GOODBYE_MS, ended);
      connection?.cut(new Error('stopped'));
    }
    ready.close(new CodedError('AMP_MQTT_STOPPED', `the link to ${broker.text} was stopped`));
    trouble = undefined;
    enter('stopped');
  }

  return {
    get state() {
      return state();
    },

    async start() {
      if (watchdog !== undefined || stopping !== undefined) return;
      watchdog = setInterval(watch, Math.min(5_000, silenceLimitMs / 4));
      try {
        if (config.ca_file !== undefined) authority = await readAuthority(config.ca_file);
      } catch (error) {
        clearInterval(watchdog);
        watchdog = undefined;
        throw error;
      }
      if (stopping === undefined) connect();
    },

    connected(timeoutMs) {
      return ready.pass(timeoutMs, () => {
        const why = trouble === undefined ? '' : `: ${trouble.message}`;
        return new CodedError(
          'AMP_MQTT_NOT_IN_TIME',
          `no connection to ${broker.text} within ${timeoutMs} ms${why}`,
          {
            ...(trouble?.remedy === undefined ? {} : { remedy: trouble.remedy }),
            ...(trouble === undefined ? {} : { cause: trouble }),
          },
        );
      });
    },

    async subscribe(wanted) {
      const before = filters;
      filters = unique(wanted);
      const gone = before.filter((filter) => !filters.includes(filter));
      const added = filters.filter((filter) => !before.includes(filter));
      if (accepted === undefined || !(await ask(accepted, gone, added))) {
        strays = unique([...strays, ...gone]);
      }
    },

    publish,

    stop() {
      stopping ??= goodbye();
      return stopping;
    },
  };
}

async function readAuthority(path: string): Promise<Buffer> {
  try {
    const pem = await readFile(path);
    // Refused now: a certificate that cannot be parsed would throw at each attempt to connect.
    new X509Certificate(pem);
    return pem;
  } catch (cause) {
    const why = (cause as Error).message;
    throw new CodedError('AMP_MQTT_CA_FILE', `cannot use broker.ca_file '${path}': ${why}`, {
      remedy: 'give the path of a PEM file that holds a certificate and that this user may read',
      cause,
    });
  }
}

function within(ms: number, done: Promise<void>): Promise<void> {
  return new Promise((resolve) => {
    const timer = setTimeout(resolve, ms);
    void done.finally(() => {
      clearTimeout(timer);
      resolve();
    });
  });
}

/** A broker ends the connection of who publishes on anything else (MQTT 5 §3.3.2.1, §4.7.3). */
const isTopic = (text: string): boolean =>
  text !== '' && !/[+#\0]/.test(text) && Buffer.byteLength(text) <= 65_535;

const unique = (filters: readonly string[]): readonly string[] => [...new Set(filters)];

const ignore = (): void => {};
