import type { Database } from 'better-sqlite3';
import type { Instant, Span } from '../units/index.ts';

/** A value that another one took the place of. */
export interface Superseded {
  readonly what: 'slot-price' | 'house-interval';
  /** Of the price series or the meter. */
  readonly id: string;
  readonly span: Span;
  /** What stood there, by column of the store: units stand in the names. */
  readonly former: Readonly<Record<string, string | number | null>>;
  readonly at: Instant;
}

export interface SupersededTable {
  add(superseded: Superseded): void;
  /** Newest first. */
  read(limit: number): Superseded[];
}

/** Prices that are published anew every few minutes must not fill the card. */
export const KEPT_SUPERSEDED = 200_000;

const TABLES = { 'slot-price': 'slot_prices', 'house-interval': 'house_intervals' } as const;

type Row = [keptIn: string, id: string, from: number, to: number, former: string, at: number];

export function supersededIn(db: Database): SupersededTable {
  const insert = db.prepare<Row>(`
    INSERT INTO superseded (kept_in, id, from_ms, to_ms, former, at_ms) VALUES (?, ?, ?, ?, ?, ?)`);
  const trim = db.prepare<[number]>('DELETE FROM superseded WHERE number <= ?');
  const select = db
    .prepare<[number], Row>(`
      SELECT kept_in, id, from_ms, to_ms, former, at_ms FROM superseded
      ORDER BY number DESC LIMIT ?`)
    .raw();

  return {
    add({ what, id, span, former, at }) {
      const text = JSON.stringify(former);
      const { lastInsertRowid } = insert.run(TABLES[what], id, span.from, span.to, text, at);
      const last = Number(lastInsertRowid);
      if (last > KEPT_SUPERSEDED) trim.run(last - KEPT_SUPERSEDED);
    },
    read: (limit) =>
      select.all(limit).map(([keptIn, id, from, to, former, at]) => ({
        what: keptIn === TABLES['slot-price'] ? 'slot-price' : 'house-interval',
        id,
        span: { from: from as Instant, to: to as Instant },
        former: JSON.parse(former) as Superseded['former'],
        at: at as Instant,
      })),
  };
}
