import { type Alert, troubleKeyOf } from '../alerts/index.ts';
import { CodedError, type Millis, SECOND } from '../units/index.ts';
import type { Channel } from './channel.ts';

/**
 * Hands a message to the broker; resolves once the broker has it, rejects when it cannot take it
 * now. It should reject while disconnected instead of queueing: the message waits on disk.
 */
export type Publish = (
  topic: string,
  payload: string,
  options: { readonly retain: true; readonly qos: 1 },
) => Promise<unknown>;

export interface MqttChannel extends Channel {
  /**
   * Puts the state of an alert on its topic again: for brokers that lose retained messages at a
   * restart. Call it with every live alert when connected anew. Rejects as `publish` does.
   */
  restate(alert: Pick<Alert, 'id'>, body: string): Promise<void>;
}

/** The broker's acknowledgment must come within this time. */
const PATIENCE = (30 * SECOND) as Millis;

/**
 * Each watch's latest alert on a subject, retained, at ROOT/alerts/WATCH/KIND/ID. A closed alert
 * stays there as closed until the next one replaces it, so that a late subscriber sees that it is
 * over and when it was; topics are as few as watches times subjects, so nothing is ever cleared.
 */
export function createMqttChannel(parts: {
  publish: Publish;
  root: string;
  patience?: Millis;
}): MqttChannel {
  const { publish, root, patience = PATIENCE } = parts;

  async function put(alertId: string, body: string): Promise<void> {
    await within(patience, publish(topicOf(root, alertId), body, { retain: true, qos: 1 }));
  }

  return {
    name: 'mqtt',
    takes: 'states',
    restate: (alert, body) => put(alert.id, body),
    async send({ alert, body }) {
      try {
        await put(alert, body);
        return { kind: 'delivered' };
      } catch (cause) {
        const said = cause instanceof Error ? cause.message : String(cause);
        if (!(cause instanceof CodedError)) return { kind: 'failed', why: said.slice(0, 200) };
        const why = `${cause.code}: ${said}`.slice(0, 200);
        const { remedy } = cause;
        return { kind: 'failed', why, ...(remedy === undefined ? {} : { remedy }) };
      }
    },
  };
}

/** 'WATCH:KIND/ID:SINCE' → 'ROOT/alerts/WATCH/KIND/ID'. */
const topicOf = (root: string, alertId: string): string =>
  `${root}/alerts/${troubleKeyOf(alertId).replace(':', '/')}`;

async function within<T>(patience: Millis, work: Promise<T>): Promise<T> {
  let timer: NodeJS.Timeout | undefined;
  const limit = new Promise<never>((_, reject) => {
    const late = () => reject(new Error(`no acknowledgment within ${patience / SECOND} s`));
    timer = setTimeout(late, patience);
  });
  try {
    return await Promise.race([work, limit]);
  } finally {
    clearTimeout(timer);
  }
}
