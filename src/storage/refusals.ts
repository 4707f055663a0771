import type { Database } from 'better-sqlite3';
import type { Instant } from '../units/index.ts';
import type { RefusalCount } from './batch.ts';

export interface RefusalTable {
  add(refusals: readonly RefusalCount[]): void;
  /** The most recent first. */
  read(): RefusalCount[];
}

/** Sources that no config names come from outside, so their number needs a bound. */
export const KEPT_REFUSALS = 2_000;

type Row = [
  reason: string,
  feed: string,
  sourceKind: string,
  source: string,
  times: number,
  topic: string,
  found: string,
  at: number,
];

export function refusalsIn(db: Database): RefusalTable {
  const add = db.prepare<Row>(`
    INSERT INTO refusals
      (reason, feed, source_kind, source, times, last_topic, last_found, last_at_ms)
    VALUES (?, ?, ?, ?, ?, ?, ?, ?)
    ON CONFLICT DO UPDATE SET
      times = times + excluded.times,
      last_topic = excluded.last_topic,
      last_found = excluded.last_found,
      last_at_ms = excluded.last_at_ms`);
  const trim = db.prepare(`
    DELETE FROM refusals WHERE rowid IN (
      SELECT rowid FROM refusals ORDER BY last_at_ms DESC, rowid DESC LIMIT -1 OFFSET ${KEPT_REFUSALS})`);
  const count = db.prepare<[], number>('SELECT count(*) FROM refusals').pluck();
  const select = db
    .prepare<[], Row>(`
      SELECT reason, feed, source_kind, source, times, last_topic, last_found, last_at_ms
      FROM refusals ORDER BY last_at_ms DESC, rowid`)
    .raw();

  return {
    add(refusals) {
      if (refusals.length === 0) return;
      for (const refusal of refusals) {
        const { reason, feed = '', source, count: times, topic, found, at } = refusal;
        add.run(reason, feed, source?.from ?? '', source?.id ?? '', times, topic, found, at);
      }
      if ((count.get() as number) > KEPT_REFUSALS) trim.run();
    },
    read: () =>
      select.all().map(([reason, feed, kind, source, times, topic, found, at]) => ({
        reason: reason as RefusalCount['reason'],
        feed: feed === '' ? undefined : feed,
        source: kind === '' ? undefined : { from: kind as 'plug' | 'probe', id: source },
        count: times,
        topic,
        found,
        at: at as Instant,
      })),
  };
}
