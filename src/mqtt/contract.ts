import type { Message } from '../readings/index.ts';
import type { Clock, CodedError, Instant, Logger } from '../units/index.ts';
import type { BackOff } from './back-off.ts';
import type { BrokerConfig } from './config.ts';
import type { Protocol } from './protocol.ts';

type ExternalBroker = Extract<BrokerConfig, { kind: 'external' }>;

/** The broker to link to: the config's external broker, or as little as its URL. */
export type LinkTarget = Pick<ExternalBroker, 'url'> &
  Partial<ExternalBroker> & {
    /**
     * kept (default): the broker keeps our subscriptions and QoS 1 messages while we are away.
     * fresh: nothing outlives the connection; for a passing listener, and for a broker that lives
     * and ends with this process.
     */
    readonly session?: 'kept' | 'fresh';
  };

export interface LinkOptions {
  readonly config: LinkTarget;
  readonly siteId: string;
  /** Where 'online' and 'offline' are published (`ROOT/state`, retained); nowhere without it. */
  readonly root?: string;
  readonly filters: readonly string[];
  /** Filters of an earlier run, which a kept session may still hold: given up at the first connect. */
  readonly formerFilters?: readonly string[];
  readonly clock: Clock;
  readonly logger: Logger;
  /**
   * Takes in one message; called once for each that the broker sends, in order, and never while an
   * earlier promise of it is open. At QoS 1 the message is acknowledged only when it has returned
   * or its promise has resolved. Nothing else moves on the connection meanwhile, so be quick.
   * The payload is a view of the network buffer: copy what is kept.
   */
  readonly receive: (message: Message) => void | Promise<void>;
  readonly onState?: (state: LinkState) => void;
  readonly retry?: BackOff;
  /** Chance in [0, 1) for the waits between attempts. */
  readonly random?: () => number;
}

export interface LinkState {
  /** connecting: not connected since the start; lost: it was, and is being tried again. */
  readonly connection: 'connecting' | 'connected' | 'lost' | 'stopped';
  readonly since: Instant;
  /** Arrival of the last message of any topic, retained ones included. */
  readonly lastMessage: Instant | undefined;
  readonly reconnects: number;
  /** Filters that the broker refused on this connection. */
  readonly refusedSubscriptions: readonly string[];
  /** The version of MQTT last spoken. */
  readonly protocol: Protocol | undefined;
  /** Why there is no connection; undefined while there is one. Fit to be shown: no secrets. */
  readonly trouble: CodedError | undefined;
  /** Messages on which `receive` threw since the start. */
  readonly failedReceives: number;
}

export interface PublishOptions {
  readonly retain?: boolean;
  readonly qos?: 0 | 1;
}

export interface BrokerLink {
  readonly state: LinkState;
  /**
   * Begins the first attempt to connect and returns without waiting for its outcome.
   *
   * @throws CodedError AMP_MQTT_CA_FILE when the authority's file cannot be read.
   */
  start(): Promise<void>;
  /**
   * Resolves once the broker has accepted us and answered our subscriptions.
   *
   * @throws CodedError AMP_MQTT_NOT_IN_TIME after `timeoutMs`, with the trouble as its cause;
   * AMP_MQTT_STOPPED when the link is stopped.
   */
  connected(timeoutMs?: number): Promise<void>;
  /** Replaces the set of filters. Resolves when the broker has answered, or at once when away. */
  subscribe(filters: readonly string[]): Promise<void>;
  /**
   * Publishes now or not at all (QoS 1 unless told): at QoS 1 it resolves when the broker has
   * acknowledged. Nothing is queued here; the caller keeps what must not be lost.
   *
   * @throws CodedError AMP_MQTT_NOT_CONNECTED, or AMP_MQTT_NOT_PUBLISHED when the broker said no or
   * the connection ended first (then the broker may have it all the same); AMP_MQTT_TOPIC when
   * no broker would ever take it, so that the caller need not keep it.
   */
  publish(topic: string, payload: string | Uint8Array, options?: PublishOptions): Promise<void>;
  /** Publishes 'offline' and says good-bye, within about two seconds. Never throws. */
  stop(): Promise<void>;
}
