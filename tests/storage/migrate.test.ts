import { existsSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { connect, connectReader } from '../../src/storage/connect.ts';
import { type Migration, migrate } from '../../src/storage/migrate.ts';
import { migrations } from '../../src/storage/migrations/index.ts';
import { faultOf, scratchFolder } from './scratch.ts';

let folder: ReturnType<typeof scratchFolder>;
let file: string;
beforeEach(() => {
  folder = scratchFolder();
  file = join(folder.path, 'ampulla.db');
});
afterEach(() => folder.remove());

const first: Migration = {
  version: 1,
  what: 'ponds and their fish',
  sql: `CREATE TABLE ponds (ref INTEGER PRIMARY KEY, volume_l REAL NOT NULL) STRICT;
        CREATE TABLE fish (pond INTEGER NOT NULL REFERENCES ponds (ref), name TEXT) STRICT;`,
};
/** Rebuilds a table that others refer to: what foreign keys would forbid midway. */
const second: Migration = {
  version: 2,
  what: 'volumes in whole milliliters',
  sql: `CREATE TABLE new_ponds (ref INTEGER PRIMARY KEY, volume_ml INTEGER NOT NULL) STRICT;
        INSERT INTO new_ponds SELECT ref, volume_l * 1000 FROM ponds;
        DROP TABLE ponds;
        ALTER TABLE new_ponds RENAME TO ponds;`,
};
const broken: Migration = {
  version: 2,
  what: 'a step that fails midway',
  sql: 'CREATE TABLE half (x INTEGER) STRICT; INSERT INTO nowhere VALUES (1);',
};

function makeFirstVersion(): void {
  const connection = connect(file, [first]);
  connection.db.exec("INSERT INTO ponds VALUES (1, 1.5); INSERT INTO fish VALUES (1, 'koi')");
  connection.close();
}

const tables = (path: string): unknown[] => {
  const db = new Database(path, { readonly: true });
  try {
    return db
      .prepare("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY 1")
      .pluck()
      .all();
  } finally {
    db.close();
  }
};

describe('bringing a store to a newer layout', () => {
  it('runs the steps that are missing, and leaves a private copy from before', () => {
    makeFirstVersion();
    const connection = connect(file, [first, second]);
    expect(connection.db.prepare('SELECT * FROM ponds').all()).toEqual([
      { ref: 1, volume_ml: 1500 },
    ]);
    expect(connection.db.pragma('user_version', { simple: true })).toBe(2);
    expect(connection.db.pragma('foreign_keys', { simple: true })).toBe(1);
    connection.close();

    const copy = `${file}.before-1`;
    expect(statSync(copy).mode & 0o777).toBe(0o600);
    const before = connectReader(copy, [first]);
    expect(before.db.prepare('SELECT * FROM ponds').all()).toEqual([{ ref: 1, volume_l: 1.5 }]);
    before.close();
  });

  it('makes no copy of a new store, nor when there is nothing to do', () => {
    makeFirstVersion();
    connect(file, [first]).close();
    expect(readdirSync(folder.path).filter((name) => name.includes('before'))).toEqual([]);
  });

  it('keeps nothing of a step that fails, and says where the copy is', () => {
    makeFirstVersion();
    const fault = faultOf(() => connect(file, [first, broken]));
    expect(fault.code).toBe('AMP_STORE_MIGRATION');
    expect(fault.message).toContain('a step that fails midway');
    expect(fault.remedy).toContain(`${file}.before-1`);
    expect(tables(file)).toEqual(['fish', 'ponds']);
    connect(file, [first]).close();
  });

  it('refuses a step that leaves rows referring to nothing', () => {
    makeFirstVersion();
    const orphaning: Migration = { version: 2, what: 'no ponds', sql: 'DELETE FROM ponds;' };
    const fault = faultOf(() => connect(file, [first, orphaning]));
    expect(fault.code).toBe('AMP_STORE_MIGRATION');
    const connection = connect(file, [first]);
    expect(connection.db.prepare('SELECT count(*) FROM ponds').pluck().get()).toBe(1);
    connection.close();
  });

  it('does not begin without room for the copy and the work', () => {
    makeFirstVersion();
    const connection = connect(file, [first]);
    const asked: string[] = [];
    const freeBytes = (where: string): number => {
      asked.push(where);
      return 1_000_000;
    };
    const fault = faultOf(() => migrate(connection.db, file, [first, second], { freeBytes }));
    connection.close();
    expect(fault.code).toBe('AMP_STORE_FULL');
    expect(fault.message).toContain('1 MB are left');
    expect(asked).toEqual([folder.path]);
    expect(existsSync(`${file}.before-1`)).toBe(false);
    connect(file, [first]).close();
  });

  it('tells a reader to let the daemon do it', () => {
    makeFirstVersion();
    const fault = faultOf(() => connectReader(file, [first, second]));
    expect(fault.code).toBe('AMP_STORE_TOO_OLD');
    expect(fault.remedy).toContain('daemon');
  });

  it('has its own steps numbered without a gap', () => {
    expect(migrations.map(({ version }) => version)).toEqual(migrations.map((_, at) => at + 1));
    expect(faultOf(() => connect(file, [second])).code).toBe('AMP_STORE_FAILED');
  });
});
