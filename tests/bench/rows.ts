import type { Benchmark, Size } from './benchmark.ts';
import type { BookingCount, BookingPlan } from './booking.ts';
import { startChild } from './child.ts';
import { buildFishHouse, checkBooks } from './fish-house.ts';
import { startFeeder } from './ingest.ts';
import type { RepricingCount, RepricingPlan } from './repricing.ts';
import { ROUND } from './stream.ts';
import { buildYear } from './year-of-books.ts';

const MESSAGES: Readonly<Record<Size, { messages: number; warmUp: number }>> = {
  full: { messages: 300_000, warmUp: 100_000 },
  quick: { messages: 20_000, warmUp: 10_000 },
};

const MANY = 5_000;
const FEW = 50;

function ingest(name: string, qos: 0 | 1, atLeast: number): Benchmark {
  return {
    name,
    unit: 'messages/s',
    decimals: 0,
    reach: { atLeast },
    async prepare(size) {
      const feeder = await startFeeder({ plugs: MANY, qos, ...MESSAGES[size] });
      return {
        remark: `${MANY} plugs, ${feeder.meanBytes} bytes a packet`,
        ours: feeder.ofDaemon,
        reference: feeder.ofBareSubscriber,
        close: feeder.stop,
      };
    },
  };
}

const costPerMessage: Benchmark = {
  name: 'cost-per-message',
  unit: 'µs',
  decimals: 1,
  reach: { atMost: 1.2 },
  async prepare(size) {
    const many = await startFeeder({ plugs: MANY, qos: 0, ...MESSAGES[size] });
    const few = await startFeeder({ plugs: FEW, qos: 0, ...MESSAGES[size] });
    const microseconds = (rate: number): number => 1e6 / rate;
    return {
      remark: `ours at ${MANY} plugs, reference ours at ${FEW}`,
      ours: async () => microseconds(await many.ofDaemon()),
      reference: async () => microseconds(await few.ofDaemon()),
      close() {
        many.stop();
        few.stop();
      },
    };
  },
};

const BOOKING_ROUNDS: Readonly<Record<Size, { rounds: number; warmUp: number }>> = {
  full: { rounds: 50, warmUp: 10 },
  quick: { rounds: 6, warmUp: 2 },
};

const booking: Benchmark = {
  name: 'booking',
  unit: 'readings/s',
  decimals: 0,
  reach: { atLeast: 0.5 },
  async prepare(size) {
    const { rounds, warmUp } = BOOKING_ROUNDS[size];
    const stream = { plugs: MANY, rounds, from: Date.now() - rounds * ROUND };
    let group = 0;

    async function run(side: BookingPlan['side']): Promise<number> {
      const house = buildFishHouse(MANY, 1);
      try {
        const { file: config, store } = house;
        const plan: BookingPlan = { ...stream, warmUp, side, config, store, group };
        const child = startChild<BookingCount>('./booking.ts', JSON.stringify(plan));
        const done = await child.hears((count): count is BookingCount => true);
        await child.ended;
        group = done.group;
        if (side === 'ours') checkBooks(store, stream);
        return done.readings / done.seconds;
      } finally {
        house.remove();
      }
    }

    return {
      remark: `${MANY} plugs, the same readings in groups of the same size, one row a reading in the reference`,
      ours: () => run('ours'),
      reference: () => run('plain inserts'),
      close() {},
    };
  },
};

const DAYS: Readonly<Record<Size, number>> = { full: 365, quick: 14 };
const PRICED_DEVICES = 100;

const repricing: Benchmark = {
  name: 'repricing',
  unit: 's',
  decimals: 2,
  reach: { atMost: 3 },
  async prepare(size) {
    const { remove, ...year } = await buildYear(PRICED_DEVICES, DAYS[size]);

    async function run(side: RepricingPlan['side']): Promise<number> {
      const plan: RepricingPlan = { ...year, side };
      const child = startChild<RepricingCount>('./repricing.ts', JSON.stringify(plan));
      const done = await child.hears((count): count is RepricingCount => true);
      await child.ended;
      return done.seconds;
    }

    return {
      remark: `${year.rows} entries of ${PRICED_DEVICES} devices, other hours for all of them`,
      ours: () => run('ours'),
      reference: () => run('bare scan'),
      close: remove,
    };
  },
};

/** In the order in which they run. */
export const ROWS: readonly Benchmark[] = [
  ingest('ingest-qos0', 0, 0.7),
  ingest('ingest-qos1', 1, 0.8),
  costPerMessage,
  booking,
  repricing,
];
