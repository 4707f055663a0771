import type { Database } from 'better-sqlite3';

/**
 * Short numbers for ids, so that a row spends a byte or two on its device. Held in memory: a site
 * has a few thousand at most. A number once given is never given to another id.
 */
export interface Names {
  ref(id: string): number | undefined;
  /** Numbers those ids that have none yet, in alphabetical order. */
  learn(ids: Iterable<string>): void;
  id(ref: number): string;
  /** Where `ref` stands among all ids in alphabetical order. */
  rank(ref: number): number;
  /** Reads those that another connection has numbered since. */
  refresh(): void;
  /** Keeps what was learned: its transaction was committed. */
  keep(): void;
  /** Forgets what was learned: its transaction was rolled back. */
  forget(): void;
}

export function namesIn(db: Database): Names {
  const refs = new Map<string, number>();
  const ids: string[] = [''];
  let ranks: number[] | undefined;
  let unsettled: string[] = [];
  const insert = db
    .prepare<[string], number>('INSERT INTO names (id) VALUES (?) RETURNING ref')
    .pluck();
  const selectNewer = db
    .prepare<[number], [number, string]>('SELECT ref, id FROM names WHERE ref > ? ORDER BY ref')
    .raw();

  function remember(ref: number, id: string): void {
    refs.set(id, ref);
    ids[ref] = id;
    ranks = undefined;
  }

  function ranked(): number[] {
    if (ranks === undefined) {
      ranks = [];
      const ordered = [...refs].sort(([a], [b]) => (a < b ? -1 : 1));
      for (const [rank, [, ref]] of ordered.entries()) ranks[ref] = rank;
    }
    return ranks;
  }

  const names: Names = {
    ref: (id) => refs.get(id),
    learn(wanted) {
      const fresh = [...new Set(wanted)].filter((id) => !refs.has(id)).sort();
      for (const id of fresh) {
        remember(insert.get(id) as number, id);
        unsettled.push(id);
      }
    },
    id: (ref) => ids[ref] as string,
    rank: (ref) => ranked()[ref] as number,
    refresh() {
      for (const [ref, id] of selectNewer.all(ids.length - 1)) remember(ref, id);
    },
    keep() {
      if (unsettled.length > 0) unsettled = [];
    },
    forget() {
      for (const id of unsettled) {
        delete ids[refs.get(id) as number];
        refs.delete(id);
      }
      ranks = undefined;
      unsettled = [];
    },
  };
  names.refresh();
  return names;
}
