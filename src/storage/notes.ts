import type { Database } from 'better-sqlite3';
import type { MeterEvent, MeterNote } from '../metering/index.ts';
import type { Instant, Span } from '../units/index.ts';

/** Which notes are wanted. */
export interface NoteFilter {
  readonly span?: Span;
  readonly plug?: string;
  /** At most so many; default 200. */
  readonly limit?: number;
}

/** How often a plug's meter noted something since the store was made. */
export interface NoteCount {
  readonly plug: string;
  readonly event: MeterEvent;
  readonly count: number;
  /** When it did so last. */
  readonly last: Instant;
}

export interface NoteTable {
  append(notes: readonly MeterNote[]): void;
  /** Newest first. */
  read(filter: NoteFilter): MeterNote[];
  /** By plug, then event; complete, whatever became of the notes. */
  counts(): NoteCount[];
}

/** Older notes make room for newer ones: a plug gone mad must not fill the card. */
export const KEPT_NOTES = 20_000;
const DEFAULT_LIMIT = 200;

type Row = [
  at: number,
  event: string,
  plug: string,
  before: number | null,
  found: number,
  register: string | null,
];

export function notesIn(db: Database): NoteTable {
  const insert = db.prepare<Row>(
    'INSERT INTO notes (at_ms, event, plug, before, found, register) VALUES (?, ?, ?, ?, ?, ?)',
  );
  const trim = db.prepare<[number]>('DELETE FROM notes WHERE number <= ?');
  const select = db
    .prepare<[number, number, string | null, string | null, number], Row>(`
      SELECT at_ms, event, plug, before, found, register FROM notes
      WHERE at_ms >= ? AND at_ms < ? AND (? IS NULL OR plug = ?)
      ORDER BY at_ms DESC, number DESC LIMIT ?`)
    .raw();
  const count = db.prepare<[string, string, number, number]>(`
    INSERT INTO note_counts (plug, event, times, last_ms) VALUES (?, ?, ?, ?)
    ON CONFLICT DO UPDATE SET
      times = times + excluded.times,
      last_ms = max(last_ms, excluded.last_ms)`);
  const selectCounts = db.prepare<[], NoteCount>(`
    SELECT plug, event, times AS count, last_ms AS last FROM note_counts ORDER BY plug, event`);

  function addCounts(notes: readonly MeterNote[]): void {
    const counts = new Map<string, NoteCount>();
    for (const { plug, event, at } of notes) {
      const key = `${event} ${plug}`;
      const known = counts.get(key);
      const last = Math.max(at, known?.last ?? at) as Instant;
      counts.set(key, { plug, event, count: (known?.count ?? 0) + 1, last });
    }
    for (const { plug, event, count: times, last } of counts.values()) {
      count.run(plug, event, times, last);
    }
  }

  return {
    append(notes) {
      addCounts(notes);
      let last = 0;
      for (const { at, event, plug, before = null, found, register = null } of notes) {
        const { lastInsertRowid } = insert.run(at, event, plug, before, found, register);
        last = Number(lastInsertRowid);
      }
      if (last > KEPT_NOTES) trim.run(last - KEPT_NOTES);
    },
    read({ span, plug = null, limit = DEFAULT_LIMIT }) {
      const from = span?.from ?? Number.MIN_SAFE_INTEGER;
      const to = span?.to ?? Number.MAX_SAFE_INTEGER;
      const rows = select.all(from, to, plug, plug, limit);
      return rows.map(([at, event, source, before, found, register]) => ({
        event: event as MeterEvent,
        plug: source,
        at: at as Instant,
        before: before ?? undefined,
        found,
        ...(register === null ? {} : { register }),
      }));
    },
    counts: () => selectCounts.all(),
  };
}
