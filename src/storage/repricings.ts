import type { Database } from 'better-sqlite3';
import type { Instant, Span } from '../units/index.ts';
import { isSpan, requireRecord } from './records.ts';

/** A change of tariffs or shares with a date in the past, as it was applied. */
export interface Repricing {
  /** 1, 2, 3 … in the order they were applied. */
  readonly number: number;
  readonly at: Instant;
  /** What it touched. */
  readonly span: Span;
  /** What changed, as told to the keeper; kept as JSON. */
  readonly summary: object;
}

export type NewRepricing = Omit<Repricing, 'number'>;

export interface RepricingTable {
  /** @returns its number */
  add(repricing: NewRepricing): number;
  /** Newest first. */
  all(): Repricing[];
}

type Row = [number: number, at: number, from: number, to: number, summary: string];

export function repricingsIn(db: Database): RepricingTable {
  const insert = db.prepare<[number, number, number, string]>(
    'INSERT INTO repricings (at_ms, from_ms, to_ms, summary) VALUES (?, ?, ?, ?)',
  );
  const select = db
    .prepare<[], Row>(
      'SELECT number, at_ms, from_ms, to_ms, summary FROM repricings ORDER BY number DESC',
    )
    .raw();

  return {
    add(repricing) {
      const { at, span, summary } = repricing;
      requireRecord(isSpan(span), 'a repricing', repricing);
      return Number(insert.run(at, span.from, span.to, JSON.stringify(summary)).lastInsertRowid);
    },
    all: () =>
      select.all().map(([number, at, from, to, summary]) => ({
        number,
        at: at as Instant,
        span: { from: from as Instant, to: to as Instant },
        summary: JSON.parse(summary) as object,
      })),
  };
}
