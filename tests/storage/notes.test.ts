import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { MeterNote } from '../../src/metering/index.ts';
import type { Refusal } from '../../src/readings/index.ts';
import { emptyBatch, openStore, type RefusalCount, type Store } from '../../src/storage/index.ts';
import { KEPT_NOTES } from '../../src/storage/notes.ts';
import { KEPT_REFUSALS } from '../../src/storage/refusals.ts';
import { KEPT_REFUSED } from '../../src/storage/refused.ts';
import { type Instant, later } from '../../src/units/index.ts';
import { posting, slotAt } from './postings.ts';
import { faultOf, scratchFolder } from './scratch.ts';

let folder: ReturnType<typeof scratchFolder>;
let file: string;
let store: Store;
beforeEach(() => {
  folder = scratchFolder();
  file = join(folder.path, 'ampulla.db');
  store = openStore({ file });
});
afterEach(() => {
  store.close();
  folder.remove();
});

function reopen(): void {
  store.close();
  store = openStore({ file });
}

const noon = slotAt(0);

describe('notes and refusals', () => {
  const note = (at: number, plug = 'plug-one'): MeterNote => ({
    event: 'counter-reset',
    plug,
    at: (noon + at) as Instant,
    before: at % 2 === 0 ? undefined : 12.5,
    found: at,
  });

  it('say of a plug with several counters which one they are about', () => {
    const one = { event: 'drop-glitch', plug: 'board-9', at: noon, before: 3, found: 0 } as const;
    store.commit({ ...emptyBatch, notes: [{ ...one, register: 'night' }, one] });
    expect(store.notes()).toEqual([one, { ...one, register: 'night' }]);
  });

  it('gives notes the newest first, by span, plug and limit', () => {
    store.commit({ ...emptyBatch, notes: [note(1), note(3, 'plug-two'), note(2)] });
    expect(store.notes()).toEqual([note(3, 'plug-two'), note(2), note(1)]);
    expect(store.notes({ plug: 'plug-one', limit: 1 })).toEqual([note(2)]);
    const from = (noon + 1) as Instant;
    expect(store.notes({ span: { from, to: later(from, 1) } })).toEqual([note(1)]);
  });

  it('keeps the newest notes when there are too many', () => {
    const notes = Array.from({ length: KEPT_NOTES + 10 }, (_, at) => note(at));
    store.commit({ ...emptyBatch, notes: notes.slice(0, 15) });
    store.commit({ ...emptyBatch, notes: notes.slice(15) });
    const kept = store.notes({ limit: KEPT_NOTES + 10 });
    expect(kept).toHaveLength(KEPT_NOTES);
    expect(kept.at(-1)?.found).toBe(10);
  });

  it('counts every note that ever was, by plug and event, also those that made room', () => {
    const many = Array.from({ length: KEPT_NOTES + 7 }, (_, at) => note(at));
    store.commit({ ...emptyBatch, notes: many });
    const gap = { ...note(3, 'plug-two'), event: 'gap-bridged' as const };
    store.commit({ ...emptyBatch, notes: [gap, note(5, 'plug-two'), { ...gap, at: noon }] });
    const bad = { ...posting(0, 'moss-lamp', 'counted', 1), energy: 0.5 as never };
    faultOf(() => store.commit({ ...emptyBatch, notes: [gap], postings: [bad] }));
    reopen();
    const last = (at: number) => (noon + at) as Instant;
    expect(store.noteCounts()).toEqual([
      {
        plug: 'plug-one',
        event: 'counter-reset',
        count: KEPT_NOTES + 7,
        last: last(KEPT_NOTES + 6),
      },
      { plug: 'plug-two', event: 'counter-reset', count: 1, last: last(5) },
      { plug: 'plug-two', event: 'gap-bridged', count: 2, last: last(3) },
    ]);
  });

  const refusal = (more: Partial<RefusalCount>): RefusalCount => ({
    reason: 'not-a-number',
    feed: 'sockets',
    source: { from: 'plug', id: 'plug-one' },
    count: 1,
    topic: 'room/socket/1',
    found: 'abc',
    at: noon,
    ...more,
  });

  it('counts the same refusal and remembers the last example', () => {
    const elsewhere = refusal({ feed: undefined, source: undefined, reason: 'unclaimed-topic' });
    store.commit({ ...emptyBatch, refusals: [refusal({ count: 2 }), elsewhere] });
    const last = { found: 'xyz', topic: 'room/socket/2', at: later(noon, 5) };
    store.commit({ ...emptyBatch, refusals: [refusal({ count: 3, ...last })] });
    expect(store.refusals()).toEqual([refusal({ count: 5, ...last }), elsewhere]);
  });

  it('forgets the oldest refusals when a stranger invents ever new sources', () => {
    const refusals = Array.from({ length: KEPT_REFUSALS + 5 }, (_, index) =>
      refusal({ source: { from: 'plug', id: `invented-${index}` }, at: later(noon, index) }),
    );
    store.commit({ ...emptyBatch, refusals });
    const kept = store.refusals();
    expect(kept).toHaveLength(KEPT_REFUSALS);
    expect(kept.at(-1)?.source?.id).toBe('invented-5');
  });
});

describe('refused values', () => {
  const refused = (at: number, more: Partial<Refusal> = {}): Refusal => ({
    reason: 'not-a-number',
    topic: 'room/socket/1',
    feed: 'sockets',
    measure: 'power',
    source: { from: 'plug', id: 'plug-one' },
    found: `value ${at}`,
    at: later(noon, at),
    ...more,
  });

  it('come back as they came, newest first, by span, source, reason and limit', () => {
    const bare = refused(2, {
      reason: 'unclaimed-topic',
      feed: undefined,
      measure: undefined,
      source: undefined,
    });
    store.commit({ ...emptyBatch, refused: [refused(1), bare] });
    store.commit({ ...emptyBatch, refused: [refused(3)] });
    reopen();
    expect(store.refused()).toStrictEqual([refused(3), bare, refused(1)]);
    expect(store.refused({ limit: 1 })).toEqual([refused(3)]);
    expect(store.refused({ source: 'plug-one' })).toEqual([refused(3), refused(1)]);
    expect(store.refused({ reason: 'unclaimed-topic' })).toEqual([bare]);
    const span = { from: later(noon, 1), to: later(noon, 3) };
    expect(store.refused({ span })).toEqual([bare, refused(1)]);
  });

  it('are the newest of many', () => {
    const many = Array.from({ length: KEPT_REFUSED + 12 }, (_, at) => refused(at));
    store.commit({ ...emptyBatch, refused: many.slice(0, 40) });
    store.commit({ ...emptyBatch, refused: many.slice(40) });
    const kept = store.refused({ limit: KEPT_REFUSED * 2 });
    expect(kept).toHaveLength(KEPT_REFUSED);
    expect(kept.at(-1)).toEqual(refused(12));
  });
});
