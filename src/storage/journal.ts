import type { Database } from 'better-sqlite3';
import { decode, encode } from './changes-text.ts';
import { absorb, clear, nothingPending, type Pending } from './pending.ts';

/**
 * What was committed and is not in the tables yet. A commit of fifty devices would rewrite a
 * handful of pages every second for the same few rows; it writes one short text here instead, and
 * the tables are written once for many commits. That spares cards and time. Whoever reads adds
 * what is pending to what the tables say.
 */
export interface Journal {
  readonly pending: Pending;
  /** Within a transaction: notes the changes, or writes them and all that is pending. */
  take(changes: Pending): void;
  /** Within a transaction: writes all that is pending to the tables. */
  fold(): void;
  /** The transaction was committed. */
  keep(): void;
  /** The transaction was rolled back. */
  forget(): void;
  /** Reads on where another connection writes the journal; in one transaction with the tables. */
  refresh(): void;
}

/**
 * The texts lie in places that are written over in turn, and which of them count is known from
 * their numbers: a place that keeps its page costs a commit one page, where inserting and deleting
 * would cost four.
 */
export const JOURNAL_PLACES = 60;
/** What a start must read at most, about. */
const JOURNAL_BYTES = 16 * 1024 * 1024;
/** A larger batch goes to the tables at once: writing it twice would spare nothing. */
const DIRECT_ROWS = 20_000;

const rowsIn = ({ entries, climate, states }: Pending): number =>
  entries.size + climate.size + states.size;

export function journalIn(db: Database, toTables: (changes: Pending) => void): Journal {
  const put = db.prepare<[number, number, string | Buffer]>(`
    INSERT INTO journal (place, number, changes) VALUES (?, ?, ?)
    ON CONFLICT DO UPDATE SET number = excluded.number, changes = excluded.changes`);
  const select = db
    .prepare<[number], [number, string | Buffer]>(
      'SELECT number, changes FROM journal WHERE number > ? ORDER BY number',
    )
    .raw();
  const selectFolded = db.prepare<[], number>('SELECT number FROM journal_folded').pluck();
  const setFolded = db.prepare<[number]>('UPDATE journal_folded SET number = ?');

  const pending = nothingPending();
  let folded = 0;
  let last = 0;
  let bytes = 0;

  function refresh(): void {
    const now = selectFolded.get() as number;
    if (now !== folded) {
      clear(pending);
      folded = now;
      last = now;
      bytes = 0;
    }
    for (const [number, changes] of select.iterate(last)) {
      absorb(pending, decode(changes));
      last = number;
      bytes += changes.length;
    }
  }
  refresh();

  /** What becomes true with the commit. */
  let taken: { readonly changes: Pending; readonly bytes: number } | 'folded' | undefined;

  function fold(): void {
    toTables(pending);
    setFolded.run(last);
    taken = 'folded';
  }

  return {
    pending,
    take(changes) {
      const rows = rowsIn(changes);
      if (rows === 0) return;
      const full = last - folded >= JOURNAL_PLACES || bytes >= JOURNAL_BYTES;
      if (full || rows > DIRECT_ROWS) {
        fold();
        toTables(changes);
        return;
      }
      const stored = encode(changes);
      put.run((last + 1) % JOURNAL_PLACES, last + 1, stored);
      taken = { changes, bytes: stored.length };
    },
    fold() {
      if (last > folded) fold();
    },
    keep() {
      if (taken === 'folded') {
        clear(pending);
        folded = last;
        bytes = 0;
      } else if (taken !== undefined) {
        absorb(pending, taken.changes);
        last += 1;
        bytes += taken.bytes;
      }
      taken = undefined;
    },
    forget() {
      taken = undefined;
    },
    refresh,
  };
}
