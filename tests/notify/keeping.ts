import type { Delivery } from '../../src/alerts/index.ts';
import type { DeliveryStore, MailConfig, WebhookConfig } from '../../src/notify/index.ts';
import {
  type Clock,
  type Instant,
  instant,
  type Logger,
  later,
  millis,
} from '../../src/units/index.ts';

export const START: Instant = instant(Date.UTC(2026, 10, 25, 9, 14));

export const delivery = (changes: Partial<Delivery> = {}): Delivery => {
  const alert = changes.alert ?? 'heater-stuck-on:device/h1:2026-11-25T09:14:00.000Z';
  const change = changes.change ?? 'opened';
  const channel = changes.channel ?? 'webhook-kitchen';
  return {
    id: `${alert}/${change}/${channel}`,
    alert,
    change,
    channel,
    body: '{"format":1}',
    created: START,
    attempts: 0,
    due: START,
    state: 'waiting',
    lastError: undefined,
    ...changes,
  };
};

const everything = (): Pick<MailConfig, 'severities' | 'after_min'> => ({
  severities: ['critical', 'warning', 'notice'],
  after_min: 0,
});

/** A webhook as the configuration has it where only its address is given. */
export const webhookOf = (url: string): WebhookConfig => ({
  url,
  method: 'POST',
  headers: {},
  content_type: 'application/json',
  timeout_s: 10,
  ...everything(),
});

export const mailOf = (changes: Partial<MailConfig> = {}): MailConfig => ({
  host: '127.0.0.1',
  security: 'starttls',
  from: 'ampulla@heron-lane.example',
  to: ['keeper@heron-lane.example'],
  timeout_s: 5,
  ...everything(),
  ...changes,
});

export interface KeptStore extends DeliveryStore {
  readonly rows: Map<string, Delivery>;
  states(): string[];
}

/** Waiting rows as the store of the books hands them out; rows go through JSON, as on disk. */
export function keep(...deliveries: Delivery[]): KeptStore {
  const rows = new Map<string, Delivery>();
  const put = (row: Delivery): void => {
    const { lastError, ...stored } = JSON.parse(JSON.stringify(row)) as Delivery;
    rows.set(row.id, { ...stored, lastError });
  };
  deliveries.forEach(put);
  return {
    rows,
    deliveries: (dueBefore) =>
      [...rows.values()]
        .filter(({ state, due }) => state === 'waiting' && due <= dueBefore)
        .sort((a, b) => a.due - b.due || (a.id < b.id ? -1 : 1)),
    saveDelivery: put,
    states: () => [...rows.values()].map(({ id, state }) => `${id.split('/').at(-2)} ${state}`),
  };
}

export interface HandClock extends Clock {
  turn(ms: number): void;
}

export function handClock(): HandClock {
  let at = START;
  return {
    now: () => at,
    monotonic: () => millis(at - START),
    turn(ms) {
      at = later(at, ms);
    },
  };
}

export interface KeptLogger extends Logger {
  /** Everything logged, as one text per entry. */
  readonly lines: string[];
}

export function keepLog(): KeptLogger {
  const lines: string[] = [];
  const write = (fields: Readonly<Record<string, unknown>>, message: string): void => {
    const plain = Object.entries(fields).map(([key, value]) => [
      key,
      value instanceof Error ? `${value.stack} ${String(value.cause)}` : value,
    ]);
    lines.push(`${message} ${JSON.stringify(Object.fromEntries(plain))}`);
  };
  return { lines, debug: write, info: write, warn: write, error: write };
}

export interface Gate<T> {
  readonly passed: Promise<T>;
  open(value: T): void;
}

/** A promise that the test resolves. */
export function gate<T = void>(): Gate<T> {
  let open: (value: T) => void = () => {};
  const passed = new Promise<T>((resolve) => {
    open = resolve;
  });
  return { passed, open: (value) => open(value) };
}
