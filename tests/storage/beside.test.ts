import { join } from 'node:path';
import Database from 'better-sqlite3';
import fc from 'fast-check';
import { afterAll, describe, expect, it } from 'vitest';
import { openClerk, openStore, openStoreReader } from '../../src/storage/index.ts';
import { always } from './postings.ts';
import { correction, noon, price, yearOfHouse } from './records.ts';
import { run } from './running.ts';
import { scratchFolder } from './scratch.ts';

const { AMPULLA_LONG } = process.env;
const KILLS = AMPULLA_LONG ? 50 : 4;
const folder = scratchFolder();
afterAll(folder.remove);

describe('a clerk beside a daemon', () => {
  it('loses nothing, and nor does the daemon, while both write', { timeout: 60_000 }, async () => {
    const file = join(folder.path, 'both.db');
    const commits = 15;
    const daemon = run('beside-child.ts', file, String(commits));
    await daemon.line((line) => line === 'open');
    const clerk = openClerk({ file });
    const prices = Array.from({ length: 10_000 }, (_, slot) => price(slot, 1, slot - 5_000));
    let corrections = 0;
    let finished = false;
    const saying = daemon
      .line((line) => line.startsWith('{'))
      .finally(() => {
        finished = true;
      });
    daemon.say('go');
    // One short transaction after another, as an impatient command makes them: the daemon must still
    // come to its turn before it gives up.
    for (let round = 0; !finished || round * 50 < prices.length; round += 1) {
      const at = (round * 50) % prices.length;
      clerk.addSlotPrices(prices.slice(at, at + 50), noon);
      clerk.addCorrection(correction(corrections, corrections + 1));
      corrections += 1;
      if (round % 50 === 0) await new Promise(setImmediate);
    }
    const said = await saying;
    await daemon.ended();
    clerk.close();

    expect(JSON.parse(said)).toMatchObject({ committed: commits });
    const reader = openStoreReader({ file });
    const kept = reader.slotPrices('marsh-exchange', always);
    expect(JSON.stringify(kept) === JSON.stringify(prices)).toBe(true);
    expect(reader.allCorrections().map(({ number }) => number)).toEqual(
      Array.from({ length: corrections }, (_, index) => index + 1),
    );
    const booked = [...reader.entries(always)].reduce((sum, { energy }) => sum + energy, 0);
    expect(booked).toBe(commits * 10);
    expect(reader.states('metering').get('counter')).toEqual({ committed: commits - 1 });
    reader.close();
  });
});

describe('an import that is killed', () => {
  it(`leaves nothing half-applied, ${KILLS} times over, and can be repeated`, {
    timeout: 10_000 * KILLS,
  }, async () => {
    const intervals = yearOfHouse();
    const year = JSON.stringify(intervals);
    const moments = fc.sample(fc.integer({ min: 1, max: 20 }), { seed: 3, numRuns: KILLS });
    let unfinished = 0;
    for (const [index, moment] of moments.entries()) {
      const file = join(folder.path, `killed-${index}.db`);
      openStore({ file }).close();
      const importing = run('import-child.ts', file);
      await importing.line((line) => line === 'ready');
      importing.say('go');
      await importing.line((line) => line === 'kept' || Number(line) >= moment * 2_000);
      const lines = await importing.kill();

      const reader = openStoreReader({ file });
      const kept = reader.house(always).length;
      const imports = reader.imports().length;
      reader.close();
      expect([0, intervals.length]).toContain(kept);
      expect(imports).toBe(kept === 0 ? 0 : 1);
      if (lines.includes('kept')) expect(kept).toBe(intervals.length);
      if (kept === 0) unfinished += 1;

      const clerk = openClerk({ file });
      const taken = clerk.addHouse(intervals, 'year.csv', noon);
      expect(taken).toEqual({ added: intervals.length - kept, changed: 0, same: kept });
      // As texts: comparing them one by one takes a second.
      expect(JSON.stringify(clerk.house(always)) === year).toBe(true);
      clerk.close();
      const sqlite = new Database(file, { readonly: true });
      expect(sqlite.pragma('integrity_check', { simple: true })).toBe('ok');
      sqlite.close();
    }
    expect(unfinished).toBeGreaterThan(0);
  });
});
