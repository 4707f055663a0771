import { deflateRawSync, inflateRawSync } from 'node:zlib';
import type { Database } from 'better-sqlite3';
import { DAY, type Instant, type Span } from '../units/index.ts';

export interface SheetTable {
  read(day: Instant, key: string): string | undefined;
  /** In place of those of the same key. */
  keep(day: Span, key: string, sheets: string): void;
  /** Lets go of the sheets of every day that touches one of the spans. */
  drop(spans: Iterable<Span>): void;
  /** When the latest day ends that has sheets; undefined when none has. */
  end(): Instant | undefined;
}

/** A day's sheets of other keys are of tariffs and shares that held before, and may hold again. */
const KEPT_KEYS = 3;
/** As the table demands. */
const LONGEST_DAY = 2 * DAY;

export function sheetsIn(db: Database): SheetTable {
  const select = db
    .prepare<[number, string], Buffer>('SELECT packed FROM sheets WHERE from_ms = ? AND key = ?')
    .pluck();
  const put = db.prepare<[number, number, string, Buffer]>(
    'INSERT OR REPLACE INTO sheets (from_ms, to_ms, key, packed) VALUES (?, ?, ?, ?)',
  );
  const trim = db.prepare<[number, number]>(`
    DELETE FROM sheets WHERE from_ms = ? AND number NOT IN (
      SELECT number FROM sheets WHERE from_ms = ? ORDER BY number DESC LIMIT ${KEPT_KEYS})`);
  const drop = db.prepare<[number, number, number]>(
    'DELETE FROM sheets WHERE to_ms > ? AND to_ms < ? AND from_ms < ?',
  );
  const selectEnd = db.prepare<[], number | null>('SELECT max(to_ms) FROM sheets').pluck();

  return {
    read(day, key) {
      const packed = select.get(day, key);
      return packed === undefined ? undefined : inflateRawSync(packed).toString();
    },
    keep({ from, to }, key, sheets) {
      put.run(from, to, key, deflateRawSync(sheets, { level: 1 }));
      trim.run(from, from);
    },
    drop(spans) {
      for (const { from, to } of joined(spans)) drop.run(from, to + LONGEST_DAY, to);
    },
    end: () => (selectEnd.get() ?? undefined) as Instant | undefined,
  };
}

/** Spans that follow one another without a gap as one: a year of hours is dropped at once. */
function* joined(spans: Iterable<Span>): Generator<Span> {
  let open: Span | undefined;
  for (const span of spans) {
    if (open !== undefined && span.from === open.to) {
      open = { from: open.from, to: span.to };
      continue;
    }
    if (open !== undefined) yield open;
    open = span;
  }
  if (open !== undefined) yield open;
}
