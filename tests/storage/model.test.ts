import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, describe, expect, it } from 'vitest';
import type { DevicePosting } from '../../src/books/index.ts';
import type { ClimateSlot } from '../../src/readings/index.ts';
import {
  type Batch,
  emptyBatch,
  openClerk,
  openStore,
  openStoreReader,
  type SavedState,
  type StoreReader,
} from '../../src/storage/index.ts';
import type { Instant } from '../../src/units/index.ts';
import { anyPosting, booksOf } from './book-store.contract.ts';
import { always, posting, slotAt } from './postings.ts';
import { faultOf, scratchFolder } from './scratch.ts';

const { AMPULLA_LONG } = process.env;
const folder = scratchFolder();
afterAll(folder.remove);

const anyState: fc.Arbitrary<SavedState> = fc.record({
  room: fc.constantFrom('metering', 'watches'),
  key: fc.constantFrom('a', 'b', 'metering/a'),
  state: fc.option(fc.record({ value: fc.integer() }), { nil: null }),
});

/** Whole values, so that sums do not depend on the order of adding. */
const anyClimate: fc.Arbitrary<ClimateSlot> = fc
  .record({
    slot: fc.integer({ min: 0, max: 2 }).map(slotAt),
    probe: fc.constantFrom('room', 'frog-air'),
    measure: fc.constantFrom('temperature', 'humidity'),
    values: fc.array(fc.integer({ min: -40, max: 85 }), { minLength: 1, maxLength: 3 }),
  })
  .map(({ values, ...rest }) => ({
    ...rest,
    count: values.length,
    sum: values.reduce((a, b) => a + b, 0),
    min: Math.min(...values),
    max: Math.max(...values),
  }));

const anyBatch: fc.Arbitrary<Batch> = fc
  .record({
    postings: fc.array(anyPosting, { maxLength: 8 }),
    states: fc.array(anyState, { maxLength: 3 }),
    climate: fc.array(anyClimate, { maxLength: 3 }),
  })
  .map((parts) => ({ ...emptyBatch, ...parts }));

const anyDeed = fc.oneof(
  { weight: 6, arbitrary: anyBatch.map((batch) => ({ deed: 'commit' as const, batch })) },
  { weight: 2, arbitrary: anyBatch.map((batch) => ({ deed: 'fail' as const, batch })) },
  { weight: 1, arbitrary: fc.constant({ deed: 'tidy' as const }) },
  { weight: 1, arbitrary: fc.constant({ deed: 'reopen' as const }) },
);

/** The last posting cannot be booked, and its device is new. */
const spoiled = (batch: Batch): Batch => ({
  ...batch,
  postings: [
    ...batch.postings,
    { ...posting(0, 'never-seen', 'counted', 1), energy: 0.5 as DevicePosting['energy'] },
  ],
});

class Model {
  readonly postings: DevicePosting[] = [];
  readonly states = new Map<string, object>();
  readonly climate = new Map<string, ClimateSlot>();

  commit(batch: Batch): void {
    this.postings.push(...batch.postings);
    for (const { room, key, state } of batch.states) {
      if (state === null) this.states.delete(`${room}: ${key}`);
      else this.states.set(`${room}: ${key}`, state);
    }
    for (const more of batch.climate) {
      const key = `${more.slot} ${more.probe} ${more.measure}`;
      const known = this.climate.get(key);
      this.climate.set(key, {
        ...more,
        count: more.count + (known?.count ?? 0),
        sum: more.sum + (known?.sum ?? 0),
        min: Math.min(more.min, known?.min ?? more.min),
        max: Math.max(more.max, known?.max ?? more.max),
      });
    }
  }

  expectIn(store: StoreReader): void {
    expect([...store.entries(always)]).toEqual(booksOf(this.postings));
    const states = (['metering', 'watches'] as const).flatMap((room) =>
      [...store.states(room)].map(([key, state]) => [`${room}: ${key}`, state] as const),
    );
    expect(new Map(states)).toEqual(this.states);
    const ordered = [...this.climate].sort(([a], [b]) => (a < b ? -1 : 1));
    expect(store.climate(always)).toEqual(ordered.map(([, slot]) => slot));
  }
}

describe('a store under any history', () => {
  it('says what a plain model says, to its writer, to a reader and to a clerk beside it', {
    timeout: 600_000,
  }, () => {
    let runs = 0;
    fc.assert(
      fc.property(fc.array(anyDeed, { minLength: 1, maxLength: 25 }), (deeds) => {
        runs += 1;
        const file = join(folder.path, `run-${runs}.db`);
        const model = new Model();
        let store = openStore({ file });
        const clerk = openClerk({ file });
        try {
          for (const step of deeds) {
            if (step.deed === 'commit') {
              store.commit(step.batch);
              model.commit(step.batch);
            } else if (step.deed === 'fail') {
              const fault = faultOf(() => store.commit(spoiled(step.batch)));
              expect(fault.code).toBe('AMP_STORE_POSTING');
            } else if (step.deed === 'tidy') {
              store.tidy(0 as Instant);
            } else {
              store.close();
              store = openStore({ file });
            }
            model.expectIn(clerk);
          }
          model.expectIn(store);
          const reader = openStoreReader({ file });
          try {
            model.expectIn(reader);
          } finally {
            reader.close();
          }
        } finally {
          clerk.close();
          store.close();
        }
      }),
      { numRuns: AMPULLA_LONG ? 500 : 20 },
    );
  });

  it('keeps every commit over more of them than the journal has places', () => {
    const file = join(folder.path, 'many.db');
    const model = new Model();
    const store = openStore({ file });
    for (const batch of fc.sample(anyBatch, { seed: 7, numRuns: 200 })) {
      store.commit(batch);
      model.commit(batch);
    }
    model.expectIn(store);
    // Not closed in between: what is found is what the commits left.
    const reader = openStoreReader({ file });
    model.expectIn(reader);
    reader.close();
    store.close();
  });
});
