import type { Database } from 'better-sqlite3';
import type { Span } from '../units/index.ts';

/**
 * Price series and the house's meters: a short number for the id of each, and how long the longest
 * span that was ever written to it is, so that a reader knows how far back to look.
 */
export interface Timelines {
  find(id: string): { readonly ref: number; readonly longest: number } | undefined;
  /** Numbers of those that are about to be written to. */
  refs<T extends Span>(spans: readonly T[], idOf: (span: T) => string): Map<string, number>;
}

export function timelinesIn(db: Database, table: 'price_series' | 'house_meters'): Timelines {
  const select = db
    .prepare<[string], [number, number]>(`SELECT ref, longest_ms FROM ${table} WHERE id = ?`)
    .raw();
  const put = db
    .prepare<[string, number], number>(`
      INSERT INTO ${table} (id, longest_ms) VALUES (?, ?)
      ON CONFLICT (id) DO UPDATE SET longest_ms = excluded.longest_ms RETURNING ref`)
    .pluck();

  function find(id: string) {
    const found = select.get(id);
    return found === undefined ? undefined : { ref: found[0], longest: found[1] };
  }

  return {
    find,
    refs(spans, idOf) {
      const longest = new Map<string, number>();
      for (const span of spans) {
        const id = idOf(span);
        longest.set(id, Math.max(longest.get(id) ?? 0, span.to - span.from));
      }
      const refs = new Map<string, number>();
      for (const [id, length] of longest) {
        const known = find(id);
        const fits = known !== undefined && known.longest >= length;
        refs.set(id, fits ? known.ref : (put.get(id, length) as number));
      }
      return refs;
    },
  };
}
