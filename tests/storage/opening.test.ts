import {
  closeSync,
  copyFileSync,
  existsSync,
  openSync,
  readFileSync,
  statSync,
  writeFileSync,
  writeSync,
} from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { connect } from '../../src/storage/connect.ts';
import { emptyBatch, openStore, openStoreReader } from '../../src/storage/index.ts';
import { migrations } from '../../src/storage/migrations/index.ts';
import { storeOver } from '../../src/storage/store.ts';
import type { Instant } from '../../src/units/index.ts';
import { always, posting } from './postings.ts';
import { faultOf, scratchFolder } from './scratch.ts';

let folder: ReturnType<typeof scratchFolder>;
let file: string;
beforeEach(() => {
  folder = scratchFolder();
  file = join(folder.path, 'ampulla.db');
});
afterEach(() => folder.remove());

const devices = Array.from({ length: 400 }, (_, index) => `device-${index}`);
const many = devices.map((device, index) => posting(0, device, 'counted', index + 1));

const PAGE = 1024;

/** Overwrites pages of a file with noise; the first is page 1. */
function damage(path: string, first: number, last = first): void {
  const handle = openSync(path, 'r+');
  const noise = Buffer.alloc(PAGE * (last - first + 1), 0xa7);
  writeSync(handle, noise, 0, noise.length, (first - 1) * PAGE);
  closeSync(handle);
}

describe('opening a store', () => {
  it('makes a private file, its log and lock included, that is marked as ours', () => {
    const store = openStore({ file });
    store.commit({ ...emptyBatch, postings: many });
    for (const path of [file, `${file}-wal`]) expect(statSync(path).mode & 0o777).toBe(0o600);
    store.close();
    const sqlite = new Database(file, { readonly: true });
    expect(sqlite.pragma('application_id', { simple: true })).toBe(0x414d5055);
    expect(sqlite.pragma('user_version', { simple: true })).toBe(migrations.length);
    expect(sqlite.pragma('integrity_check', { simple: true })).toBe('ok');
    sqlite.close();
  });

  it('syncs every commit to the disk through a write-ahead log', () => {
    const connection = connect(file, migrations);
    const { db } = connection;
    expect(db.pragma('journal_mode', { simple: true })).toBe('wal');
    expect(db.pragma('synchronous', { simple: true })).toBe(2);
    expect(db.pragma('foreign_keys', { simple: true })).toBe(1);
    expect(db.pragma('journal_size_limit', { simple: true })).toBe(16 * 1024 * 1024);
    connection.close();
  });

  it('leaves one complete file when it closes, and may be closed twice', () => {
    const store = openStore({ file });
    store.commit({ ...emptyBatch, postings: many });
    store.close();
    store.close();
    expect(existsSync(`${file}-wal`)).toBe(false);
    const sqlite = new Database(file, { readonly: true });
    expect(sqlite.prepare('SELECT count(*) FROM entries').pluck().get()).toBe(many.length);
    sqlite.close();
  });

  it('asks for the folder first', () => {
    const fault = faultOf(() => openStore({ file: join(folder.path, 'nowhere', 'a.db') }));
    expect(fault.code).toBe('AMP_STORE_FOLDER');
    expect(fault.message).toContain('nowhere');
    expect(fault.remedy).toContain('mkdir');
  });

  it('refuses a second writer, in the same process too, until the first has closed', () => {
    const store = openStore({ file });
    const fault = faultOf(() => openStore({ file }));
    expect(fault.code).toBe('AMP_STORE_IN_USE');
    expect(fault.message).toContain(file);
    store.close();
    openStore({ file }).close();
  });

  it("leaves another program's database as it is", () => {
    const other = new Database(file);
    other.exec('CREATE TABLE fish (name TEXT); INSERT INTO fish VALUES (1)');
    other.close();
    const before = readFileSync(file);
    expect(faultOf(() => openStore({ file })).code).toBe('AMP_STORE_FOREIGN');
    expect(faultOf(() => openStoreReader({ file })).code).toBe('AMP_STORE_FOREIGN');
    expect(readFileSync(file).equals(before)).toBe(true);
  });

  it('leaves a store of a newer program as it is, and says which layouts it knows', () => {
    openStore({ file }).close();
    const newer = new Database(file);
    newer.pragma('user_version = 900');
    newer.close();
    const before = readFileSync(file);
    const fault = faultOf(() => openStore({ file }));
    expect(fault.code).toBe('AMP_STORE_TOO_NEW');
    expect(fault.message).toContain('900');
    expect(fault.message).toContain(String(migrations.length));
    expect(faultOf(() => openStoreReader({ file })).code).toBe('AMP_STORE_TOO_NEW');
    expect(readFileSync(file).equals(before)).toBe(true);
  });

  it('recognizes a file that is no database', () => {
    writeFileSync(file, 'a shopping list: moss, bloodworms, filter wool '.repeat(40));
    const fault = faultOf(() => openStore({ file }));
    expect(fault.code).toBe('AMP_STORE_CORRUPT');
    expect(fault.remedy).toContain('backup');
    expect(readFileSync(file, 'utf8')).toContain('bloodworms');
  });

  it('recognizes damage after an unclean end', () => {
    const store = openStore({ file });
    store.commit({ ...emptyBatch, postings: many });
    store.tidy(0 as Instant);
    store.commit({ ...emptyBatch, postings: many });
    const crashed = join(folder.path, 'crashed.db');
    copyFileSync(file, crashed);
    copyFileSync(`${file}-wal`, `${crashed}-wal`);
    store.close();
    damage(crashed, 20, 40);
    const fault = faultOf(() => openStore({ file: crashed }));
    expect(fault.code).toBe('AMP_STORE_CORRUPT');
    expect(fault.message).toContain(crashed);
    // The lock is free again: the next attempt finds the damage, not itself.
    expect(faultOf(() => openStore({ file: crashed })).code).toBe('AMP_STORE_CORRUPT');
  });

  it('recognizes damage in what it must read to open, and lets go of the file', () => {
    openStore({ file }).close();
    damage(file, 2, statSync(file).size / PAGE);
    expect(faultOf(() => openStoreReader({ file })).code).toBe('AMP_STORE_CORRUPT');
    expect(faultOf(() => openStore({ file })).code).toBe('AMP_STORE_CORRUPT');
    expect(faultOf(() => openStore({ file })).code).toBe('AMP_STORE_CORRUPT');
  });

  it('recognizes damage that a read meets', () => {
    const store = openStore({ file });
    store.commit({ ...emptyBatch, postings: many });
    store.close();
    const sqlite = new Database(file, { readonly: true });
    const root = sqlite.prepare("SELECT rootpage FROM sqlite_schema WHERE name = 'entries'");
    const page = root.pluck().get() as number;
    sqlite.close();
    damage(file, page);
    const damaged = openStoreReader({ file });
    expect(faultOf(() => [...damaged.entries(always)]).code).toBe('AMP_STORE_CORRUPT');
    damaged.close();
  });
});

describe('reading a store beside its writer', () => {
  it('says when there is no store yet, and makes none', () => {
    expect(faultOf(() => openStoreReader({ file })).code).toBe('AMP_STORE_MISSING');
    expect(existsSync(file)).toBe(false);
  });

  it('sees the store as it was when the reader opened', () => {
    const store = openStore({ file });
    store.commit({ ...emptyBatch, postings: many });
    const reader = openStoreReader({ file });
    store.commit({ ...emptyBatch, postings: many });
    store.tidy(0 as Instant);
    expect([...reader.entries(always)][0]).toEqual(posting(0, 'device-0', 'counted', 1));
    reader.close();
    const next = openStoreReader({ file });
    expect([...next.entries(always)][0]?.energy).toBe(2);
    next.close();
    store.close();
  });

  it('cannot write', () => {
    openStore({ file }).close();
    const reader = openStoreReader({ file }) as ReturnType<typeof openStore>;
    expect(faultOf(() => reader.commit({ ...emptyBatch, postings: many })).code).toMatch(
      /^AMP_STORE_/,
    );
    reader.close();
    const store = openStore({ file });
    expect(store.extent()).toBeUndefined();
    store.close();
  });
});

describe('a full disk', () => {
  it('applies nothing of the batch, which can be committed again once there is room', () => {
    const connection = connect(file, migrations);
    const store = storeOver(connection);
    store.commit({ ...emptyBatch, postings: many.slice(0, 1) });
    const before = [...store.entries(always)];
    const pages = Number(connection.db.pragma('page_count', { simple: true }));
    connection.db.pragma(`max_page_count = ${pages + 1}`);

    const batch = { ...emptyBatch, postings: many };
    const fault = faultOf(() => store.commit(batch));
    expect(fault.code).toBe('AMP_STORE_FULL');
    expect(fault.message).toContain(file);
    expect([...store.entries(always)]).toEqual(before);

    connection.db.pragma('max_page_count = 100000');
    store.commit(batch);
    store.close();
    const again = openStoreReader({ file });
    const energies = [...again.entries(always)].map(({ energy }) => energy);
    expect(energies).toHaveLength(many.length);
    expect(energies[0]).toBe(2);
    again.close();
  });
});
