import { copyFileSync, existsSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, describe, expect, it } from 'vitest';
import { openStore, openStoreReader, type StoreReader } from '../../src/storage/index.ts';
import { later, SLOT } from '../../src/units/index.ts';
import { always, posting, slotAt } from './postings.ts';
import { scratchFolder } from './scratch.ts';

/**
 * Written by the program of layout 1, the first that was released: once with everything in the
 * tables, and then one more commit that is still in the journal.
 */
const LAYOUT_1 = fileURLToPath(new URL('fixtures/layout-1.sqlite', import.meta.url));

const folder = scratchFolder();
afterAll(folder.remove);
const noon = slotAt(0);

const note = (
  event: string,
  plug: string,
  at: number,
  before: number | undefined,
  found: number,
) => ({
  event,
  plug,
  at: later(noon, at),
  before,
  found,
});

function expectAllOf(store: StoreReader): void {
  expect([...store.entries(always)]).toEqual([
    posting(0, 'moss-lamp', 'counted', 4_240, {
      spread: 200,
      covered: SLOT + 60_000,
      drawing: SLOT,
    }),
    posting(0, 'trough-heater', 'integrated', 31_000, { covered: SLOT, drawing: 540_000 }),
    posting(1, 'frog-mister', 'reckoned', 75, { covered: SLOT }),
    posting(1, 'moss-lamp', 'counted', 800),
  ]);
  expect(store.climate(always).map(({ measure, count, sum }) => [measure, count, sum])).toEqual([
    ['humidity', 2, 171],
    ['temperature', 3, 72.75],
  ]);
  expect(store.states('metering')).toEqual(new Map([['shelf-plug', { counter: 1235.25 }]]));
  expect(store.states('alerts')).toEqual(new Map([['all', { open: 1 }]]));
  expect(store.notes()).toEqual([
    note('counter-rolled-back', 'shelf-plug', 120_000, 1236, 1235.25),
    note('gap-bridged', 'trough-plug', 90_000, undefined, 400_000),
    note('counter-reset', 'shelf-plug', 60_000, 12, 0),
    note('counter-reset', 'shelf-plug', 0, 1300, 0),
  ]);
  expect(store.refusals()).toEqual([
    {
      reason: 'not-a-number',
      feed: 'sockets',
      source: { from: 'plug', id: 'shelf-plug' },
      count: 7,
      topic: 'loft/shelf/power',
      found: 'unavailable',
      at: noon,
    },
  ]);
  expect(store.alerts().map(({ id, state, opened }) => [id, state, opened])).toEqual([
    ['trough-cold-1', 'open', later(noon, 600_000)],
  ]);
  expect(store.deliveries(later(noon, 60_000)).map(({ id, lastError }) => [id, lastError])).toEqual(
    [['trough-cold-1/opened/mail', 'refused: 503']],
  );
}

describe('a store of layout 1', () => {
  it('opens with everything kept, what was still in the journal too', () => {
    const file = join(folder.path, 'released.db');
    copyFileSync(LAYOUT_1, file);
    const store = openStore({ file });
    expectAllOf(store);
    store.tidy(noon);
    expectAllOf(store);
    expect(store.edition()).toBe(0);
    expect(store.allCorrections()).toEqual([]);
    store.close();
    expect(existsSync(`${file}.before-1`)).toBe(true);
    const reader = openStoreReader({ file });
    expectAllOf(reader);
    reader.close();
  });

  it('counts the notes that are there already', () => {
    const file = join(folder.path, 'counted.db');
    copyFileSync(LAYOUT_1, file);
    const store = openStore({ file });
    expect(store.noteCounts()).toEqual([
      { plug: 'shelf-plug', event: 'counter-reset', count: 2, last: later(noon, 60_000) },
      { plug: 'shelf-plug', event: 'counter-rolled-back', count: 1, last: later(noon, 120_000) },
      { plug: 'trough-plug', event: 'gap-bridged', count: 1, last: later(noon, 90_000) },
    ]);
    store.close();
  });
});
