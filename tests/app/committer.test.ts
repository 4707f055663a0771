import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { createCommitter } from '../../src/app/committer.ts';
import { Group } from '../../src/app/group.ts';
import type { Posting } from '../../src/metering/index.ts';
import { type Batch, openStore, type Store } from '../../src/storage/index.ts';
import {
  CodedError,
  HOUR,
  type Instant,
  later,
  MINUTE,
  type Millis,
  type MilliwattHours,
  SLOT,
  slotOf,
} from '../../src/units/index.ts';
import { logBook } from '../mqtt/link-under-test.ts';
import { scratchFolder } from '../storage/scratch.ts';
import { NOON } from './loft.ts';

const GROUP_TIME = 1_000;
/** How long the committer waits before it asks a full disk again. */
const RETRY = 5_000;

const posting = (energy: number, slot = 0): Posting => ({
  slot: later(slotOf(NOON), slot * SLOT),
  known: 'counted',
  energy: energy as MilliwattHours,
  spread: 0 as MilliwattHours,
  covered: 1_000 as Millis,
  drawing: 0 as Millis,
});

const full = (): CodedError => new CodedError('AMP_STORE_FULL', 'the disk is full');

/** A committer over a store, with what it told of itself. */
function committing(store: Store) {
  const { logger, lines } = logBook();
  const group = new Group();
  const committed: Instant[][] = [];
  const fatal: unknown[] = [];
  let gathered = 0;
  const committer = createCommitter({
    group,
    store,
    logger,
    groupTime: GROUP_TIME,
    gather: () => {
      gathered += 1;
    },
    committed: (slots) => committed.push([...slots]),
    onFatal: (error) => fatal.push(error),
  });
  return {
    group,
    committer,
    committed,
    fatal,
    lines,
    get gathered() {
      return gathered;
    },
    add(energy: number, slot = 0): void {
      group.post('heater', posting(energy, slot));
      committer.added();
    },
  };
}

/** A store in the hands of the test: what it has taken, and what it says to the next batches. */
function moodyStore(answers: (Error | undefined)[]) {
  const taken: Batch[] = [];
  let asked = 0;
  const refusing = (): never => {
    throw new Error('the committer only commits');
  };
  const store: Store = {
    commit(batch) {
      const answer = answers[asked];
      asked += 1;
      if (answer !== undefined) throw answer;
      taken.push(structuredClone(batch));
    },
    saveDelivery: refusing,
    backup: refusing,
    tidy: refusing,
    entries: refusing,
    extent: refusing,
    states: refusing,
    climate: refusing,
    notes: refusing,
    refusals: refusing,
    alerts: refusing,
    deliveries: refusing,
    corrections: refusing,
    allCorrections: refusing,
    slotPrices: refusing,
    addSlotPrices: refusing,
    house: refusing,
    edition: refusing,
    sheets: refusing,
    keepSheets: refusing,
    bills: refusing,
    imports: refusing,
    refused: refusing,
    noteCounts: refusing,
    repricings: refusing,
    requests: refusing,
    answerTo: refusing,
    superseded: refusing,
    size: refusing,
    close: refusing,
  };
  return {
    store,
    taken,
    get asked() {
      return asked;
    },
    energy: () =>
      taken.flatMap(({ postings }) => postings).reduce((sum, { energy }) => sum + energy, 0),
  };
}

beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  vi.useRealTimers();
});

describe('a committer', () => {
  it('waits for the group’s time after the first addition, and no longer', () => {
    const disk = moodyStore([]);
    const { add, committed } = committing(disk.store);
    add(5);
    vi.advanceTimersByTime(GROUP_TIME - 1);
    add(6);
    expect(disk.asked).toBe(0);
    vi.advanceTimersByTime(1);
    expect(disk.taken.map(({ postings }) => postings.map(({ energy }) => energy))).toEqual([[11]]);
    expect(committed).toEqual([[slotOf(NOON)]]);
    vi.advanceTimersByTime(10 * GROUP_TIME);
    expect(disk.asked).toBe(1);
  });

  it('falls no more than an hour behind a clock that runs faster than its timer', () => {
    const { add, committer, committed, group } = committing(moodyStore([]).store);
    committer.keepUp(NOON);
    for (let minute = 1; minute <= 150; minute += 1) {
      add(1, Math.floor(minute / 15));
      committer.keepUp(later(NOON, minute * MINUTE));
    }
    expect(committed.map((slots) => slots.length)).toEqual([5, 5]);
    // A clock that was set back is kept up with as well.
    committer.keepUp(later(NOON, -HOUR));
    expect(group.empty).toBe(true);
  });

  it('does not wait when the group is full, and commits nothing when there is nothing', () => {
    const disk = moodyStore([]);
    const run = committing(disk.store);
    expect(run.committer.commit()).toBe(true);
    expect(disk.asked).toBe(0);
    expect(run.gathered).toBe(1);
    for (let slot = 0; disk.asked === 0 && slot < 100_000; slot += 1) run.add(1, slot);
    expect(disk.asked).toBe(1);
    expect(run.group.empty).toBe(true);
    expect(disk.energy()).toBeGreaterThan(1_000);
  });

  it('keeps all that a full disk refuses, and writes it once, when there is room again', () => {
    const disk = moodyStore([full(), full(), full()]);
    const { add, group, committer, committed, fatal, lines } = committing(disk.store);
    let sum = 0;
    for (let second = 0; second < 20; second += 1) {
      add(second);
      sum += second;
      group.note({ event: 'duplicate', plug: 'one', at: NOON, before: 1, found: second });
      vi.advanceTimersByTime(1_000);
    }
    // At 1 s, and then every 5 s: refused three times, taken the fourth.
    expect(disk.asked).toBeGreaterThanOrEqual(4);
    committer.close();
    expect(disk.energy()).toBe(sum);
    expect(disk.taken.flatMap(({ notes }) => notes).map(({ found }) => found)).toEqual(
      Array.from({ length: 20 }, (_, index) => index),
    );
    expect(group.empty).toBe(true);
    expect(committed.length).toBe(disk.taken.length);
    expect(fatal).toEqual([]);
    expect(lines.map(({ level, message }) => `${level} ${message}`)).toEqual([
      'error the store takes nothing now; readings wait in memory',
      'info the store takes readings again; nothing was lost',
    ]);
  });

  it('asks a full disk only now and then, however fast readings come', () => {
    const disk = moodyStore(Array.from({ length: 100 }, full));
    const { add } = committing(disk.store);
    for (let n = 0; n < 5_000; n += 1) {
      add(1);
      vi.advanceTimersByTime(10);
    }
    expect(disk.asked).toBeLessThanOrEqual(1 + 50_000 / RETRY);
    expect(disk.asked).toBeGreaterThan(5);
  });

  it('holds no more of a day without a disk than the entries of that day', () => {
    const disk = moodyStore(Array.from({ length: 20_000 }, full));
    const { add, group, committer } = committing(disk.store);
    for (let minute = 0; minute < 24 * 60; minute += 1) {
      const slot = Math.floor(minute / 15);
      for (let n = 0; n < 6; n += 1) {
        add(1, slot);
        group.note({ event: 'duplicate', plug: 'one', at: NOON, before: 1, found: n });
        group.observe([
          {
            slot: later(slotOf(NOON), slot * SLOT),
            probe: 'tub-water',
            measure: 'temperature',
            count: 1,
            sum: 24,
            min: 24,
            max: 24,
          },
        ]);
        vi.advanceTimersByTime(10_000);
      }
    }
    committer.commit();
    // 96 slots of one device and one probe, and the newest notes.
    expect(group.size).toBeLessThanOrEqual(96 + 96 + 1_000);
    expect(group.batch().postings.reduce((sum, { energy }) => sum + energy, 0)).toBe(24 * 60 * 6);
    expect(group.batch().climate.reduce((sum, { count }) => sum + count, 0)).toBe(24 * 60 * 6);
    committer.close();
  });

  it('waits for a store that another process holds, too', () => {
    const disk = moodyStore([new CodedError('AMP_STORE_IN_USE', 'locked')]);
    const { add, fatal } = committing(disk.store);
    add(7);
    vi.advanceTimersByTime(GROUP_TIME + RETRY);
    expect(disk.energy()).toBe(7);
    expect(fatal).toEqual([]);
  });

  it.each([
    ['a broken disk', new CodedError('AMP_STORE_IO', 'input/output error')],
    ['a mistake in the program', new TypeError('undefined is not a function')],
  ])('gives up on %s, and keeps what it has', (_, error) => {
    const disk = moodyStore([error]);
    const { add, committer, group, fatal, committed } = committing(disk.store);
    add(7);
    expect(committer.commit()).toBe(false);
    expect(fatal).toEqual([error]);
    expect(committed).toEqual([]);
    expect(group.batch().postings.map(({ energy }) => energy)).toEqual([7]);
    vi.advanceTimersByTime(10 * RETRY);
    expect(disk.asked).toBe(1);
  });

  it('commits what is left when it is closed, and asks no more after that', () => {
    const disk = moodyStore([undefined, full()]);
    const { add, committer } = committing(disk.store);
    add(3);
    committer.close();
    expect(disk.energy()).toBe(3);
    add(4);
    committer.close();
    vi.advanceTimersByTime(10 * RETRY);
    expect(disk.asked).toBe(2);
  });
});

describe('a committer over a real store', () => {
  it('has everything on the disk, once, whatever was added between commits', () => {
    const folder = scratchFolder();
    const file = join(folder.path, 'books.db');
    let store = openStore({ file });
    const { add, group, committer, committed } = committing(store);
    let sum = 0;
    for (let n = 1; n <= 500; n += 1) {
      add(n, n % 7);
      sum += n;
      group.save('reckoning', 'filter', { until: later(NOON, n) });
      vi.advanceTimersByTime(90);
    }
    committer.close();
    store.close();
    store = openStore({ file });
    const span = { from: slotOf(NOON), to: later(slotOf(NOON), 10 * SLOT) };
    const entries = [...store.entries(span)];
    expect(entries.map(({ device, known }) => `${device} ${known}`)).toEqual(
      Array.from({ length: 7 }, () => 'heater counted'),
    );
    expect(entries.reduce((total, { energy }) => total + energy, 0)).toBe(sum);
    expect(store.states('reckoning').get('filter')).toEqual({ until: later(NOON, 500) });
    // A commit a second or so: 500 additions in 45 s.
    expect(committed.length).toBeGreaterThan(30);
    expect(committed.length).toBeLessThan(60);
    store.close();
    folder.remove();
  });
});
