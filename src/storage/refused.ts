import type { Database } from 'better-sqlite3';
import type { Refusal } from '../readings/index.ts';
import type { Instant, Span } from '../units/index.ts';

/** Which refused values are wanted; all that is given must hold. */
export interface RefusedFilter {
  readonly span?: Span;
  /** Id of the plug or probe. */
  readonly source?: string;
  readonly reason?: Refusal['reason'];
  /** At most so many; default 200. */
  readonly limit?: number;
}

export interface RefusedTable {
  append(refused: readonly Refusal[]): void;
  /** Newest first. */
  read(filter: RefusedFilter): Refusal[];
}

/** Older ones make room for newer ones; how many there ever were is counted in `refusals`. */
export const KEPT_REFUSED = 5_000;
const DEFAULT_LIMIT = 200;

type Row = [
  at: number,
  reason: string,
  feed: string,
  sourceKind: string,
  source: string,
  measure: string | null,
  topic: string,
  found: string,
];

type Asked = string | null;

export function refusedIn(db: Database): RefusedTable {
  const insert = db.prepare<Row>(`
    INSERT INTO refused (at_ms, reason, feed, source_kind, source, measure, topic, found)
    VALUES (?, ?, ?, ?, ?, ?, ?, ?)`);
  const trim = db.prepare<[number]>('DELETE FROM refused WHERE number <= ?');
  const select = db
    .prepare<[number, number, Asked, Asked, Asked, Asked, number], Row>(`
      SELECT at_ms, reason, feed, source_kind, source, measure, topic, found FROM refused
      WHERE at_ms >= ? AND at_ms < ?
        AND (? IS NULL OR source = ?)
        AND (? IS NULL OR reason = ?)
      ORDER BY at_ms DESC, number DESC LIMIT ?`)
    .raw();

  return {
    append(refused) {
      let last = 0;
      for (const { at, reason, feed = '', source, measure = null, topic, found } of refused) {
        const { from: kind, id } = source ?? { from: '', id: '' };
        last = Number(
          insert.run(at, reason, feed, kind, id, measure, topic, found).lastInsertRowid,
        );
      }
      if (last > KEPT_REFUSED) trim.run(last - KEPT_REFUSED);
    },
    read({ span, source = null, reason = null, limit = DEFAULT_LIMIT }) {
      const from = span?.from ?? Number.MIN_SAFE_INTEGER;
      const to = span?.to ?? Number.MAX_SAFE_INTEGER;
      return select
        .all(from, to, source, source, reason, reason, limit)
        .map(([at, why, feed, kind, id, measure, topic, found]) => ({
          reason: why as Refusal['reason'],
          topic,
          feed: feed === '' ? undefined : feed,
          measure: (measure ?? undefined) as Refusal['measure'],
          source: kind === '' ? undefined : { from: kind as 'plug' | 'probe', id },
          found,
          at: at as Instant,
        }));
    },
  };
}
