import type { Database } from 'better-sqlite3';

/** Counts the changes that commands make beside the daemon, so that whoever remembers can tell. */
export interface Edition {
  number(): number;
  /** Within the transaction of the change. */
  next(): void;
}

export function editionIn(db: Database): Edition {
  const select = db.prepare<[], number>('SELECT number FROM edition').pluck();
  const count = db.prepare('UPDATE edition SET number = number + 1');
  return {
    number: () => select.get() as number,
    next: () => void count.run(),
  };
}
