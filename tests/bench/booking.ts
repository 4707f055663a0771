import Database from 'better-sqlite3';
import type { Reading } from '../../src/readings/index.ts';
import type { Instant, Logger } from '../../src/units/index.ts';
import { built } from './product.ts';
import { reports, type StreamPlan, socketOf } from './stream.ts';

/** What a process of the booking benchmark is told. */
export interface BookingPlan extends StreamPlan {
  /** Rounds that are booked before time is taken. */
  readonly warmUp: number;
  readonly side: 'ours' | 'plain inserts';
  readonly config: string;
  readonly store: string;
  /** Readings in a group, for the plain inserts; the daemon's committer decides for itself. */
  readonly group: number;
}

export interface BookingCount {
  readonly readings: number;
  readonly seconds: number;
  /** Readings in a group, as it came out. */
  readonly group: number;
}

const silent: Logger = { debug() {}, info() {}, warn() {}, error() {} };
const plan = JSON.parse(process.argv[2] ?? '') as BookingPlan;
const readings = readingsOf(plan);
const warm = 2 * plan.plugs * plan.warmUp;
const count = plan.side === 'ours' ? await bookOurs() : insertPlainly();
process.send?.(count);
process.disconnect();

/** All readings of the stream, as the feeds would have decoded them. */
function readingsOf(stream: StreamPlan): Reading[] {
  const all: Reading[] = [];
  for (const { plug, at, wh, watts } of reports(stream)) {
    const common = {
      from: 'plug',
      id: `wall-${socketOf(plug)}`,
      at: at as Instant,
      arrived: at as Instant,
      retained: false,
    } as const;
    all.push({ ...common, measure: 'counter', value: wh });
    all.push({ ...common, measure: 'power', value: watts });
  }
  return all;
}

/** The daemon's own lane from readings to committed entries. */
async function bookOurs(): Promise<BookingCount> {
  const { loadConfig } = await built<typeof import('../../src/config/index.ts')>('config/index.js');
  const { prepareHouse } = await built<typeof import('../../src/app/house.ts')>('app/house.js');
  const { Group } = await built<typeof import('../../src/app/group.ts')>('app/group.js');
  const { createCostLane } =
    await built<typeof import('../../src/app/cost-lane.ts')>('app/cost-lane.js');
  const { createCommitter } =
    await built<typeof import('../../src/app/committer.ts')>('app/committer.js');
  const { openStore } =
    await built<typeof import('../../src/storage/index.ts')>('storage/index.js');

  const loaded = loadConfig(plan.config, process.env);
  if (!loaded.ok) throw new Error(JSON.stringify(loaded.problems));
  const store = openStore({ file: plan.store });
  const group = new Group();
  const costs = createCostLane(prepareHouse(loaded.config), { read: store.states }, group);
  let commits = 0;
  const committer = createCommitter({
    group,
    store,
    logger: silent,
    groupTime: 1000,
    gather: () => costs.save(),
    committed: () => {
      commits += 1;
    },
    onFatal: (error) => {
      throw error;
    },
  });
  function book(from: number, to: number): void {
    for (let index = from; index < to; index += 2) {
      // One message brings both readings, and the committer is told once a message.
      costs.take(readings[index] as Reading);
      costs.take(readings[index + 1] as Reading);
      committer.added();
    }
    committer.commit();
  }
  book(0, warm);
  commits = 0;
  const start = performance.now();
  book(warm, readings.length);
  const seconds = (performance.now() - start) / 1000;
  committer.close();
  store.close();
  const measured = readings.length - warm;
  return { readings: measured, seconds, group: Math.round(measured / commits) };
}

/** What one would write without a metering program: a row a reading, the same groups. */
function insertPlainly(): BookingCount {
  const db = new Database(plan.store);
  db.pragma('journal_mode = WAL');
  db.pragma('synchronous = FULL');
  db.exec('CREATE TABLE readings (at INTEGER, plug TEXT, measure TEXT, value REAL)');
  const insert = db.prepare('INSERT INTO readings VALUES (?, ?, ?, ?)');
  const insertGroup = db.transaction((from: number, to: number) => {
    for (let index = from; index < to; index += 1) {
      const { at, id, measure, value } = readings[index] as Reading;
      insert.run(at, id, measure, value);
    }
  });
  function insertAll(from: number, to: number): void {
    for (let at = from; at < to; at += plan.group) insertGroup(at, Math.min(at + plan.group, to));
  }
  insertAll(0, warm);
  const start = performance.now();
  insertAll(warm, readings.length);
  const seconds = (performance.now() - start) / 1000;
  db.close();
  return { readings: readings.length - warm, seconds, group: plan.group };
}
