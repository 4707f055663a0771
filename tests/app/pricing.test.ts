import { afterEach, describe, expect, it, vi } from 'vitest';
import { createPricing, type Pricing } from '../../src/app/pricing.ts';
import { basisOf, type Terms, termsOf } from '../../src/app/terms.ts';
import type { DevicePosting, RepricingSummary } from '../../src/books/index.ts';
import { emptyBatch, type Store } from '../../src/storage/index.ts';
import { later, SLOT, type Span } from '../../src/units/index.ts';
import { logBook } from '../mqtt/link-under-test.ts';
import { storeForEach } from '../storage/store-for-each.ts';
import { loft, NOON } from './loft.ts';

const DAYS = 40;
const IN_TIME = { timeout: 20_000, interval: 5 };

const cheap = termsOf(loft());
const dear = termsOf(loft(['price_per_kwh: 0.1', 'price_per_kwh: 0.3']));
/** Another price for the evenings: each day has to be read again. */
const evenings = termsOf(
  loft([
    '{ kind: flat, price_per_kwh: 0.1 }',
    "{ kind: time-of-use, rates: { day: { price_per_kwh: 0.1 }, late: { price_per_kwh: 0.2 } }, periods: [{ rate: day, from: '00:00', to: '18:00' }, { rate: late, from: '18:00', to: '24:00' }] }",
  ]),
);

let store: Store;
let pricing: Pricing | undefined;

storeForEach((fresh) => {
  store = fresh;
  const slots = Array.from({ length: DAYS * 96 }, (_, index) => later(NOON, -index * SLOT));
  const postings = slots.map((slot) => ({
    ...{ slot, device: 'tub-heater', known: 'counted', energy: 10_000 },
    ...{ spread: 0, covered: SLOT, drawing: SLOT },
  })) as unknown as DevicePosting[];
  store.commit({ ...emptyBatch, postings });
});
afterEach(() => {
  pricing?.stop();
});

function begin(stored: Terms | undefined, terms: Terms) {
  const inForce: { terms: Terms; summary: RepricingSummary | undefined }[] = [];
  const { logger, lines } = logBook();
  const read: Span[] = [];
  const watched: Store = {
    ...store,
    entries: (span) => {
      read.push(span);
      return store.entries(span);
    },
  };
  const made = createPricing({
    store: watched,
    stored,
    house: { terms, basis: basisOf(terms) },
    clock: { now: () => NOON, monotonic: () => 0 as never },
    logger,
    inForce: (next, summary) => inForce.push({ terms: next, summary }),
  });
  pricing = made;
  const cost = (): number =>
    made.book.account({ from: later(NOON, -DAYS * 86_400_000), to: NOON }, NOON).site.cost;
  return { pricing: made, inForce, cost, read, lines };
}

/** 3,840 slots of 10 Wh but the first, which lies before the span by its start. */
const KWH = (DAYS * 96 - 1) / 100;

describe('the terms that the accounts rest on', () => {
  it('are those of the file where the books are new', () => {
    const { inForce, cost, pricing: made } = begin(undefined, dear);
    expect(inForce).toEqual([{ terms: dear, summary: undefined }]);
    expect(made.progress).toBeUndefined();
    expect(cost() / 1e6).toBeCloseTo(KWH * 0.3, 6);
  });

  it('are not put into force again when nothing about them has changed', () => {
    expect(begin(cheap, termsOf(loft())).inForce).toEqual([]);
  });

  it('stay as they were until all of the past is priced anew, then change together', async () => {
    const { inForce, cost, pricing: made } = begin(cheap, dear);
    const costs = new Set<number>();
    await vi.waitFor(() => {
      costs.add(cost());
      expect(inForce).toHaveLength(1);
    }, IN_TIME);
    costs.add(cost());
    expect([...costs].map((micro) => Math.round(micro / 1e4))).toEqual([
      Math.round(KWH * 10),
      Math.round(KWH * 30),
    ]);
    expect(made.progress).toBeUndefined();
    const { summary } = inForce[0] ?? {};
    expect(summary?.site.before.cost).toBe(DAYS * 96 * 1_000);
    expect(summary?.site.after.cost).toBe(DAYS * 96 * 3_000);
  });

  it('go on where they were when the daemon ends in the middle of it', async () => {
    const first = begin(cheap, evenings);
    await vi.waitFor(() => expect(first.pricing.progress ?? 0).toBeGreaterThan(0.3), IN_TIME);
    first.pricing.stop();
    const before = first.read.length;
    expect(first.inForce).toEqual([]);

    const second = begin(cheap, evenings);
    await vi.waitFor(() => expect(second.inForce).toHaveLength(1), IN_TIME);
    // What had been read already is not read again.
    expect(second.read.length).toBeLessThan(DAYS + 3);
    expect(before).toBeGreaterThan(5);
    // A quarter of each day is dearer.
    const { after, before: was } = second.inForce[0]?.summary?.site ?? {};
    expect(Number(after?.cost) / Number(was?.cost)).toBeCloseTo(1.25, 1);
  });

  it('of the newest file win when it changes again meanwhile', async () => {
    const { pricing: made, inForce, cost } = begin(cheap, evenings);
    made.change({ terms: dear, basis: basisOf(dear) });
    await vi.waitFor(() => expect(inForce).toHaveLength(1), IN_TIME);
    expect(inForce[0]?.terms).toEqual(dear);
    expect(cost() / 1e6).toBeCloseTo(KWH * 0.3, 6);
  });

  it('change at once where no past day is touched', () => {
    const later = termsOf(
      loft([
        'tariffs: { flat:',
        "tariffs: { next: { valid_from: '2031-01-01', energy: { kind: flat, price_per_kwh: 9 } }, flat:",
      ]),
    );
    const { inForce } = begin(cheap, later);
    expect(inForce).toEqual([{ terms: later, summary: undefined }]);
  });

  it('go back without a trace when the file goes back before it is done', async () => {
    const { pricing: made, inForce } = begin(cheap, evenings);
    made.change({ terms: cheap, basis: basisOf(cheap) });
    expect(made.progress).toBeUndefined();
    expect(inForce).toEqual([]);
  });
});
