import type { Database } from 'better-sqlite3';
import type { Instant } from '../units/index.ts';
import { requireRecord, type Taken } from './records.ts';

/** A file that was imported. */
export interface Import extends Taken {
  /** 1, 2, 3 … in the order of importing. */
  readonly number: number;
  readonly what: 'slot-prices' | 'house';
  /** Of the price series or the meter; several meters in one text. */
  readonly id: string;
  /** As the keeper named it. */
  readonly file: string;
  /** Of its bytes, in lowercase hexadecimal digits. */
  readonly sha256: string;
  readonly at: Instant;
}

export type NewImport = Omit<Import, 'number'>;

export interface ImportTable {
  /** @returns its number */
  add(imported: NewImport): number;
  /** Newest first. */
  all(): Import[];
}

interface Row {
  readonly number: number;
  readonly what: Import['what'];
  readonly id: string;
  readonly file: string;
  readonly sha256: string;
  readonly added: number;
  readonly changed: number;
  readonly same: number;
  readonly at_ms: number;
}

export function importsIn(db: Database): ImportTable {
  const insert = db.prepare<[Omit<Row, 'number'>]>(`
    INSERT INTO imports (what, id, file, sha256, added, changed, same, at_ms)
    VALUES (@what, @id, @file, @sha256, @added, @changed, @same, @at_ms)`);
  const select = db.prepare<[], Row>('SELECT * FROM imports ORDER BY number DESC');

  return {
    add(imported) {
      requireRecord(/^[0-9a-f]{64}$/.test(imported.sha256), 'an import', imported);
      const { what, id, file, sha256, added, changed, same, at } = imported;
      const row = { what, id, file, sha256, added, changed, same, at_ms: at };
      return Number(insert.run(row).lastInsertRowid);
    },
    all: () => select.all().map(({ at_ms, ...rest }) => ({ ...rest, at: at_ms as Instant })),
  };
}
