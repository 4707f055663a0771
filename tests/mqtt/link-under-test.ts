import { expect, vi } from 'vitest';
import { type BrokerLink, createBrokerLink, type LinkOptions } from '../../src/mqtt/index.ts';
import type { Message } from '../../src/readings/index.ts';
import { type Clock, instant, type Logger, millis } from '../../src/units/index.ts';

export const machineClock: Clock = {
  now: () => instant(Date.now()),
  monotonic: () => millis(performance.now()),
};

export interface LogBook {
  readonly logger: Logger;
  readonly lines: { level: string; message: string; fields: Readonly<Record<string, unknown>> }[];
}

export function logBook(): LogBook {
  const lines: LogBook['lines'] = [];
  const write = (level: string) => (fields: Readonly<Record<string, unknown>>, message: string) => {
    lines.push({ level, message, fields });
  };
  return {
    lines,
    logger: {
      debug: write('debug'),
      info: write('info'),
      warn: write('warn'),
      error: write('error'),
    },
  };
}

export interface Heard {
  readonly topic: string;
  readonly text: string;
  readonly retained: boolean;
}

export interface LinkUnderTest extends LogBook {
  readonly link: BrokerLink;
  readonly heard: Heard[];
  /** Resolves when such a message was heard. */
  hears(topic: string, text?: string): Promise<Heard>;
}

const links: BrokerLink[] = [];

/** A link that keeps what it hears and retries quickly. */
export function linkUnderTest(options: Partial<LinkOptions> & Pick<LinkOptions, 'config'>) {
  const book = logBook();
  const heard: Heard[] = [];
  const { receive, ...rest } = options;
  const link = createBrokerLink({
    siteId: 'heron-loft',
    filters: ['#'],
    clock: machineClock,
    logger: book.logger,
    retry: { first: millis(50), longest: millis(200) },
    receive(message: Message) {
      const text = new TextDecoder().decode(message.payload);
      heard.push({ topic: message.topic, text, retained: message.retained });
      return receive?.(message);
    },
    ...rest,
  });
  links.push(link);
  const under: LinkUnderTest = {
    ...book,
    link,
    heard,
    hears: (topic, text) =>
      vi.waitFor(
        () => {
          const found = heard.find((one) => one.topic === topic && (!text || one.text === text));
          expect(found, `${topic} ${text ?? ''}`).toBeDefined();
          return found as Heard;
        },
        { timeout: 10_000, interval: 10 },
      ),
  };
  return under;
}

/** Starts the link and waits until the broker has answered its subscriptions. */
export async function connected(options: Parameters<typeof linkUnderTest>[0]) {
  const under = linkUnderTest(options);
  await under.link.start();
  await under.link.connected(10_000);
  return under;
}

/** For afterEach: no link outlives its test. */
export async function stopLinks(): Promise<void> {
  await Promise.all(links.splice(0).map((link) => link.stop()));
}
