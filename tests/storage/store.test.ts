import { statSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { Alert, Delivery } from '../../src/alerts/index.ts';
import type { ClimateSlot } from '../../src/readings/index.ts';
import {
  emptyBatch,
  openStore,
  openStoreReader,
  type SavedState,
  type Store,
} from '../../src/storage/index.ts';
import { DAY, HOUR, later } from '../../src/units/index.ts';
import { always, posting, slotAt } from './postings.ts';
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

describe('postings', () => {
  it('refuses what is not whole, says which, and applies nothing of the batch', () => {
    const bad = [
      { ...posting(0, 'moss-lamp', 'counted', 1), energy: 0.5 },
      { ...posting(0, 'moss-lamp', 'counted', 1), covered: Number.NaN },
      { ...posting(0, 'moss-lamp', 'counted', 1), slot: noon + 1 },
      { ...posting(0, 'moss-lamp', 'counted', 1), known: 'guessed' },
    ] as ReturnType<typeof posting>[];
    for (const one of bad) {
      const good = posting(0, 'frog-mister', 'counted', 1);
      const fault = faultOf(() => store.commit({ ...emptyBatch, postings: [good, one] }));
      expect(fault.code).toBe('AMP_STORE_POSTING');
      expect(fault.message).toContain("'moss-lamp'");
    }
    expect([...store.entries(always)]).toEqual([]);
  });

  it('can be committed while entries are being read', () => {
    store.commit({ ...emptyBatch, postings: [posting(0, 'moss-lamp', 'counted', 1)] });
    const seen: number[] = [];
    for (const { energy } of store.entries(always)) {
      seen.push(energy);
      store.commit({ ...emptyBatch, postings: [posting(9, 'moss-lamp', 'counted', 5)] });
      store.tidy(noon);
      if (seen.length > 2) break;
    }
    expect(seen[0]).toBe(1);
    expect([...store.entries(always)].map(({ energy }) => energy)).toContain(5 * seen.length);
  });
});

describe('states', () => {
  const saved = (key: string, state: object | null, room: SavedState['room'] = 'metering') => ({
    room,
    key,
    state,
  });

  it('are replaced, forgotten and kept apart by room', () => {
    store.commit({
      ...emptyBatch,
      states: [saved('a', { counter: 1 }), saved('b', [1, 2]), saved('a', { on: true }, 'watches')],
    });
    store.commit({ ...emptyBatch, states: [saved('a', { counter: 2 }), saved('b', null)] });
    expect(store.states('metering')).toEqual(new Map([['a', { counter: 2 }]]));
    expect(store.states('watches')).toEqual(new Map([['a', { on: true }]]));
    expect(store.states('heat')).toEqual(new Map());
  });

  it('are as they were at the commit, even if their owner goes on changing the object', () => {
    const state = { counter: 1 };
    store.commit({ ...emptyBatch, states: [saved('a', state)] });
    state.counter = 2;
    expect(store.states('metering').get('a')).toEqual({ counter: 1 });
  });

  it('survive a restart, in whatever characters they are written', () => {
    const odd = saved('tank/"öne"\n', { note: 'naïve "quote" \u2028 \\ 水' });
    store.commit({ ...emptyBatch, states: [odd, saved('gone', {})] });
    store.commit({ ...emptyBatch, states: [saved('gone', null)] });
    reopen();
    expect(store.states('metering')).toEqual(new Map([[odd.key, odd.state]]));
  });
});

describe('climate', () => {
  const measured = (
    slot: number,
    probe: string,
    values: number[],
    measure: ClimateSlot['measure'] = 'temperature',
  ): ClimateSlot => ({
    slot: slotAt(slot),
    probe,
    measure,
    count: values.length,
    sum: values.reduce((a, b) => a + b, 0),
    min: Math.min(...values),
    max: Math.max(...values),
  });

  it('merges counts, sums and extremes, before and after they reach the tables', () => {
    store.commit({ ...emptyBatch, climate: [measured(0, 'frog-air', [24.5, 25])] });
    store.tidy(noon);
    store.commit({
      ...emptyBatch,
      climate: [measured(0, 'frog-air', [23.25]), measured(0, 'frog-air', [26])],
    });
    const wanted = [measured(0, 'frog-air', [24.5, 25, 23.25, 26])];
    expect(store.climate(always)).toEqual(wanted);
    reopen();
    expect(store.climate(always)).toEqual(wanted);
  });

  it('gives slots in order, of one probe where asked, and keeps measures apart', () => {
    store.commit({
      ...emptyBatch,
      climate: [
        measured(1, 'room', [20]),
        measured(0, 'room', [55], 'humidity'),
        measured(0, 'room', [21]),
        measured(0, 'frog-air', [25]),
      ],
    });
    const seen = (slots: ClimateSlot[]) => slots.map((one) => `${one.probe} ${one.measure}`);
    expect(seen(store.climate(always))).toEqual([
      'frog-air temperature',
      'room humidity',
      'room temperature',
      'room temperature',
    ]);
    expect(seen(store.climate({ from: slotAt(1), to: slotAt(2) }))).toEqual(['room temperature']);
    expect(seen(store.climate(always, 'frog-air'))).toEqual(['frog-air temperature']);
    expect(store.climate(always, 'no-such-probe')).toEqual([]);
  });
});

const alert = (id: string, more: Partial<Alert> = {}): Alert => ({
  id,
  watch: 'tank-too-cold',
  subject: { kind: 'tank', id: 'reed-basin' },
  state: 'open',
  severity: 'warning',
  confidence: 'likely',
  reason: 'below-kept-minimum',
  evidence: [{ what: 'tank-temperature', value: 21.4, unit: 'C', at: undefined }],
  since: noon,
  opened: later(noon, HOUR),
  acknowledged: undefined,
  closed: undefined,
  ...more,
});

describe('alerts', () => {
  it('come back as they were saved, the last saving of an id', () => {
    store.commit({ ...emptyBatch, alerts: [alert('a', { state: 'pending', opened: undefined })] });
    const later2 = later(noon, 2 * HOUR);
    const acknowledged = alert('a', { state: 'acknowledged', acknowledged: later2 });
    store.commit({ ...emptyBatch, alerts: [acknowledged] });
    reopen();
    expect(store.alerts()).toStrictEqual([acknowledged]);
  });

  it('are found by state and by the span in which they were alive', () => {
    const closed = alert('a', { state: 'closed', closed: later(noon, 3 * HOUR) });
    const open = alert('b', { since: later(noon, 2 * HOUR) });
    store.commit({ ...emptyBatch, alerts: [open, closed] });
    const ids = (filter: Parameters<Store['alerts']>[0]) =>
      store.alerts(filter).map(({ id }) => id);
    expect(ids({})).toEqual(['a', 'b']);
    expect(ids({ states: ['pending', 'open', 'acknowledged'] })).toEqual(['b']);
    expect(ids({ states: ['acknowledged'] })).toEqual([]);
    expect(ids({ states: ['closed'] })).toEqual(['a']);
    const hours = (from: number, to: number) => ({
      span: { from: later(noon, from * HOUR), to: later(noon, to * HOUR) },
    });
    expect(ids(hours(-2, 0))).toEqual([]);
    expect(ids(hours(0, 1))).toEqual(['a']);
    expect(ids(hours(2.5, 2.6))).toEqual(['a', 'b']);
    expect(ids(hours(4, 9))).toEqual(['b']);
    expect(ids({ ...hours(0, 9), states: ['open'] })).toEqual(['b']);
  });
});

describe('deliveries', () => {
  const delivery = (id: string, more: Partial<Delivery> = {}): Delivery => ({
    id,
    alert: 'a',
    change: 'opened',
    channel: 'webhook',
    body: '{"title":"cold"}',
    created: noon,
    attempts: 0,
    due: noon,
    state: 'waiting',
    lastError: undefined,
    ...more,
  });

  it('wait until they are due, the earliest first', () => {
    const deliveries = [
      delivery('late', { due: later(noon, 3) }),
      delivery('second', { due: later(noon, 2) }),
      delivery('first'),
    ];
    store.commit({ ...emptyBatch, deliveries });
    expect(store.deliveries(later(noon, 2)).map(({ id }) => id)).toEqual(['first', 'second']);
    expect(store.deliveries(later(noon, 2))[0]).toStrictEqual(delivery('first'));
  });

  it('are never sent again once they are known', () => {
    store.commit({ ...emptyBatch, deliveries: [delivery('a')] });
    store.saveDelivery(delivery('a', { attempts: 1, state: 'delivered' }));
    store.commit({ ...emptyBatch, deliveries: [delivery('a')] });
    reopen();
    expect(store.deliveries(later(noon, DAY))).toEqual([]);
  });

  it('remember why the last attempt failed', () => {
    store.commit({ ...emptyBatch, deliveries: [delivery('a')] });
    const failed = delivery('a', { attempts: 2, due: later(noon, 60), lastError: 'refused: 503' });
    store.saveDelivery(failed);
    expect(store.deliveries(noon)).toEqual([]);
    expect(store.deliveries(later(noon, 60))).toEqual([failed]);
  });

  it('are forgotten 90 days after they were sent, and kept as long as they wait', () => {
    const deliveries = [delivery('sent', { state: 'delivered' }), delivery('waiting')];
    store.commit({ ...emptyBatch, deliveries });
    const known = (): boolean => {
      store.commit({ ...emptyBatch, deliveries: [delivery('sent')] });
      return !store.deliveries(noon).some(({ id }) => id === 'sent');
    };
    store.tidy(later(noon, 90 * DAY));
    expect(known()).toBe(true);
    store.tidy(later(noon, 90 * DAY + 1));
    expect(store.deliveries(noon).map(({ id }) => id)).toEqual(['waiting']);
    expect(known()).toBe(false);
  });
});

describe('a backup', () => {
  it('holds everything committed before it, is private, and opens as a store', async () => {
    store.commit({ ...emptyBatch, postings: [posting(0, 'moss-lamp', 'counted', 7)] });
    const copy = join(folder.path, 'copy.db');
    const copying = store.backup(copy);
    store.commit({ ...emptyBatch, postings: [posting(1, 'moss-lamp', 'counted', 8)] });
    await copying;
    expect(statSync(copy).mode & 0o777).toBe(0o600);
    const reader = openStoreReader({ file: copy });
    expect([...reader.entries(always)][0]).toEqual(posting(0, 'moss-lamp', 'counted', 7));
    reader.close();
  });

  it('never writes over a file', async () => {
    await expect(store.backup(file)).rejects.toMatchObject({ code: 'AMP_STORE_COPY_EXISTS' });
    expect(store.states('app')).toEqual(new Map());
  });
});

describe('size', () => {
  it('counts what the store takes on the disk', () => {
    const before = store.size();
    const devices = Array.from({ length: 500 }, (_, index) => `device-${index}`);
    store.commit({
      ...emptyBatch,
      postings: devices.map((device) => posting(0, device, 'counted', 9)),
    });
    store.tidy(noon);
    expect(before).toBeGreaterThan(0);
    expect(store.size()).toBeGreaterThan(before);
  });
});
