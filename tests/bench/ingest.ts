import type { BareCount } from './bare-subscriber.ts';
import { type Child, startChild } from './child.ts';
import { type RunningDaemon, startDaemon } from './daemon.ts';
import { buildFishHouse, checkBooks } from './fish-house.ts';
import type { PublisherPlan, PublisherSays } from './publisher.ts';
import { ROUND } from './stream.ts';

type Saying<S extends PublisherSays['says']> = Extract<PublisherSays, { says: S }>;

/** A publisher, and what it measures: messages a second, from the first to the last handled. */
export interface Feeder {
  readonly meanBytes: number;
  /** Of the daemon, commits included; its books are checked afterwards. */
  ofDaemon(): Promise<number>;
  /** Of the bare subscriber. */
  ofBareSubscriber(): Promise<number>;
  stop(): void;
}

export interface FeederSize {
  readonly plugs: number;
  readonly qos: 0 | 1;
  /** Messages that are measured, about; and before them, to warm up. */
  readonly messages: number;
  readonly warmUp: number;
}

const WINDOW = 1_000;

export async function startFeeder({ plugs, qos, messages, warmUp }: FeederSize): Promise<Feeder> {
  const warmRounds = Math.ceil(warmUp / plugs);
  const rounds = warmRounds + Math.ceil(messages / plugs);
  // The plugs' clocks end up at about now: a stream from the future would be refused.
  const from = Date.now() - rounds * ROUND;
  const plan: PublisherPlan = { plugs, rounds, from, qos, warmUp: warmRounds, window: WINDOW };
  const publisher = startChild<PublisherSays>('./publisher.ts', JSON.stringify(plan));
  const { port, meanBytes } = await said(publisher, 'listening');

  async function measure(): Promise<number> {
    await said(publisher, 'subscribed');
    publisher.send('go');
    const { messages: count, seconds } = await said(publisher, 'done');
    return count / seconds;
  }

  return {
    meanBytes,
    async ofDaemon() {
      const house = buildFishHouse(plugs, port);
      let daemon: RunningDaemon | undefined;
      try {
        daemon = await startDaemon(house.file);
        const rate = await measure();
        await daemon.stop();
        checkBooks(house.store, plan);
        return rate;
      } finally {
        daemon?.kill();
        house.remove();
      }
    },
    async ofBareSubscriber() {
      const bare = startChild<BareCount>('./bare-subscriber.ts', String(port));
      try {
        const rate = await measure();
        bare.send('count');
        const { parsed } = await bare.hears((count): count is BareCount => true);
        if (parsed === plugs * rounds) return rate;
        throw new Error(`${parsed} of ${plugs * rounds} were parsed`);
      } finally {
        bare.stop();
      }
    },
    stop: publisher.stop,
  };
}

async function said<S extends PublisherSays['says']>(
  publisher: Child<PublisherSays>,
  word: S,
): Promise<Saying<S>> {
  const heard = await publisher.hears(
    (message): message is Saying<S> | Saying<'failed'> =>
      message.says === word || message.says === 'failed',
  );
  if (heard.says === 'failed')
    throw new Error(`the publisher says: ${(heard as Saying<'failed'>).why}`);
  return heard as Saying<S>;
}
