import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import Database from 'better-sqlite3';
import fc from 'fast-check';
import { afterAll, describe, expect, it } from 'vitest';
import { openStore, openStoreReader, type StoreReader } from '../../src/storage/index.ts';
import { always } from './postings.ts';
import { faultOf, scratchFolder } from './scratch.ts';

const { AMPULLA_LONG } = process.env;
const KILLS = AMPULLA_LONG ? 60 : 15;
const child = fileURLToPath(new URL('crash-child.ts', import.meta.url));
const folder = scratchFolder();
afterAll(folder.remove);

/** A child that has loaded its code, or is about to, and waits. */
function prepare(file: string) {
  const running = spawn(process.execPath, ['--import', 'tsx', child, file], {
    stdio: 'pipe',
  });
  let printed = '';
  let complaint = '';
  running.stderr.setEncoding('utf8').on('data', (text: string) => {
    complaint += text;
  });
  const closed = once(running, 'close');
  return {
    /** Lets it go, and resolves once it has printed `count` groups. */
    runUntil: (count: number) =>
      new Promise<void>((resolve, reject) => {
        running.stdin.write('go\n');
        running.stdout.setEncoding('utf8').on('data', (text: string) => {
          printed += text;
          if (printed.split('\n').length > count) resolve();
        });
        running.once('exit', () => reject(new Error(`the child ended early: ${complaint}`)));
      }),
    /** Kills it and gives the last number it printed. */
    async kill(): Promise<number> {
      running.kill('SIGKILL');
      await closed;
      const lines = printed.split('\n').slice(0, -1);
      return Number(lines.at(-1));
    },
  };
}

function committedIn(store: StoreReader): { said: number; booked: number } {
  const state = store.states('metering').get('counter') as { committed: number };
  let booked = 0;
  for (const { energy } of store.entries(always)) booked += energy;
  return { said: state.committed, booked };
}

describe('a writer that is killed', () => {
  it(`loses nothing that it has confirmed and doubles nothing, ${KILLS} times over`, {
    timeout: 10_000 * KILLS,
  }, async () => {
    const file = join(folder.path, 'killed.db');
    const moments = fc.sample(fc.integer({ min: 1, max: 180 }), { seed: 15, numRuns: KILLS });
    let next = prepare(file);
    for (const moment of moments) {
      const running = next;
      next = prepare(file);
      await running.runUntil(moment);
      const confirmed = await running.kill();

      const reader = openStoreReader({ file });
      const read = committedIn(reader);
      reader.close();
      expect(read.booked).toBe(read.said * 10);
      expect(read.said).toBeGreaterThanOrEqual(confirmed);

      const sqlite = new Database(file, { readonly: true });
      expect(sqlite.pragma('integrity_check', { simple: true })).toBe('ok');
      sqlite.close();
    }
    await next.kill();
    const store = openStore({ file });
    const left = committedIn(store);
    store.close();
    expect(left.booked).toBe(left.said * 10);
  });

  it('keeps a second daemon out while it lives, lets a reader in, and leaves no lock behind', async () => {
    const file = join(folder.path, 'held.db');
    const running = prepare(file);
    await running.runUntil(3);
    expect(faultOf(() => openStore({ file })).code).toBe('AMP_STORE_IN_USE');
    const reader = openStoreReader({ file });
    const read = committedIn(reader);
    reader.close();
    expect(read.said).toBeGreaterThanOrEqual(3);
    expect(read.booked).toBe(read.said * 10);
    await running.kill();
    openStore({ file }).close();
  });
});
