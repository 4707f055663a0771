import type { Database } from 'better-sqlite3';
import type { Instant, Span } from '../units/index.ts';

/**
 * Of which spans the entries were read and cannot have changed since. Sheets are kept only for
 * these: between reading a day's entries and keeping what was drawn from them, another process (or
 * this one, where it waited in between) may have written to it, and such sheets would be wrong for
 * good.
 */
export interface Freshness {
  /** Entries of the span begin to be read. */
  reading(span: Span): void;
  /** This connection changed entries, those of slot `first` before all. */
  posted(first: Instant): void;
  /** This connection changed something that cannot be told by slots. */
  changed(): void;
  /** Exact within a writing transaction, where no other connection can write. */
  holds(span: Span): boolean;
}

/** A job reads day after day, which makes one span; a page that reads in between, a few more. */
const REMEMBERED = 16;

export function freshnessIn(db: Database): Freshness {
  // Another number after every commit of another connection, and only then.
  const selectVersion = db.prepare<[], number>('PRAGMA data_version').pluck();
  let version = selectVersion.get() as number;
  let spans: Span[] = [];

  function forgetAfterOthers(): void {
    const now = selectVersion.get() as number;
    if (now === version) return;
    version = now;
    spans = [];
  }

  return {
    reading(span) {
      forgetAfterOthers();
      const last = spans.at(-1);
      if (last !== undefined && span.from >= last.from && span.from <= last.to) {
        const to = Math.max(last.to, span.to) as Instant;
        spans[spans.length - 1] = { from: last.from, to };
        return;
      }
      spans.push(span);
      if (spans.length > REMEMBERED) spans.shift();
    },
    posted(first) {
      // What lies before it still holds; what lies after it is not worth the trouble.
      spans = spans
        .map(({ from, to }) => ({ from, to: Math.min(to, first) as Instant }))
        .filter(({ from, to }) => to > from);
    },
    changed() {
      spans = [];
    },
    holds({ from, to }) {
      forgetAfterOthers();
      return spans.some((span) => span.from <= from && span.to >= to);
    },
  };
}
