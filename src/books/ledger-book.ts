import type { Tariff } from '../tariff/index.ts';
import type { Instant, Span } from '../units/index.ts';
import type { AccountBasis, AccountTimes } from './basis.ts';
import {
  type BlocksAt,
  type BlockUse,
  blockUse,
  hasBlocks,
  type MeteredUse,
  meteredUse,
} from './blocks.ts';
import type { BookStore } from './entry.ts';
import { addLedger, type Ledger, ledgerWriter, type Terms } from './ledger.ts';
import { remembering } from './remembered.ts';
import { tariffsOn } from './sheet-key.ts';
import type { SheetShelf } from './sheet-shelf.ts';
import { energyOf } from './sheets.ts';
import { standingCharges } from './standing.ts';

/** Ledgers of any span, from sheets and what they are priced and divided with. */
export interface LedgerBook {
  /** @param at how blocks are priced; undefined: as each tariff says */
  ledger(span: Span, now: Instant, at: BlocksAt | undefined): Ledger;
  /** Of the billing month that holds `at`; undefined where its tariff has no blocks. */
  blockUse(at: Instant, now: Instant): BlockUse | undefined;
  /** To be called when a posting to this slot has reached the store. */
  touched(slot: Instant): void;
  reconfigure(basis: AccountBasis): void;
}

/** Ledgers of one day by their terms: those asked for last first, at average and at marginal price. */
type Priced = readonly { readonly terms: string; readonly ledger: Ledger }[];

const weightOf = (priced: Priced): number =>
  priced.reduce((sum, { ledger }) => sum + Math.max(1, ledger.devices.size), 0);

type BlockTerms = Pick<Terms, 'blockPrices' | 'provisional'> & { readonly key: string };

const NO_BLOCKS: BlockTerms = { key: '', blockPrices: new Map(), provisional: false };

/** @param remembered how many device-days of ledgers to hold in memory */
export function createLedgerBook(
  store: BookStore,
  shelf: SheetShelf,
  start: AccountBasis,
  remembered: number,
): LedgerBook {
  let basis = start;
  let writer = ledgerWriter(basis);
  let charges = standingCharges(basis);
  let edition = store.edition();
  let since: Instant | undefined;
  let extent: Span | undefined;
  const days = remembering<Priced>(remembered, weightOf);
  const houses = new Map<Instant, MeteredUse | undefined>();

  /** Where the books begin decides what was to be known of every day. */
  function look(now: Instant): AccountTimes {
    extent = store.extent();
    if (extent?.from !== since) days.clear();
    since = extent?.from;
    const current = store.edition();
    if (current !== edition) {
      shelf.forgetAll();
      days.clear();
      houses.clear();
    }
    edition = current;
    // Of empty books nothing was to be known yet.
    return { now, since: since ?? now };
  }

  function houseOf(month: Span): MeteredUse | undefined {
    if (!houses.has(month.from)) houses.set(month.from, meteredUse(store.house(month), month));
    return houses.get(month.from);
  }

  /**
   * Of a month under way the days that are over: so the prices of a day stand for that day. On its
   * first day, what there is.
   */
  function soFar(month: Span, { now, since }: AccountTimes): { energy: number; time: number } {
    const from = Math.max(month.from, since) as Instant;
    let energy = 0;
    if (from >= Math.min(month.to, now)) return { energy: 0, time: 0 };
    let day = basis.calendar.day(from);
    if (day.to > now) {
      for (const sheet of shelf.open(day, now).values()) energy += energyOf(sheet);
      return { energy, time: now - from };
    }
    let until = from;
    while (until < month.to && day.to <= now) {
      energy += shelf.energy(day, now);
      until = day.to;
      day = basis.calendar.day(until);
    }
    return { energy, time: until - from };
  }

  function useOf(tariff: Tariff, month: Span, times: AccountTimes): BlockUse | undefined {
    if (tariff.blockEnds(month) === undefined) return undefined;
    const { calendar, otherPerMonth } = basis;
    const known = { house: houseOf(month), otherPerMonth, now: times.now };
    return blockUse(tariff, month, { ...known, fishRoom: soFar(month, times) }, calendar);
  }

  /** How blocks are priced within one call: a month is worked out once. */
  function blockTerms(times: AccountTimes, at: BlocksAt | undefined) {
    const months = new Map<string, BlockTerms>();
    let month: (Span & { readonly tariff: Tariff }) | undefined;
    return (day: Span): BlockTerms => {
      const [tariff] = tariffsOn(day, basis.tariffs.tariffs);
      if (tariff === undefined || !hasBlocks(tariff)) return NO_BLOCKS;
      if (month?.tariff !== tariff || day.from < month.from || day.from >= month.to) {
        month = { ...tariff.month(day.from), tariff };
      }
      const key = `${tariff.id} ${month.from}`;
      let terms = months.get(key);
      if (terms === undefined) {
        const mode = at ?? tariff.blocksAt;
        const prices = [...(useOf(tariff, month, times)?.prices ?? [])].map(
          ([rate, price]) => [rate, price[mode]] as const,
        );
        const provisional = times.now < month.to;
        terms = {
          key: JSON.stringify([prices, provisional]),
          blockPrices: new Map(prices),
          provisional,
        };
        months.set(key, terms);
      }
      return terms;
    };
  }

  function closed(day: Span, times: AccountTimes, terms: BlockTerms): Ledger {
    const known = days.get(day.from) ?? [];
    const same = known.find((priced) => priced.terms === terms.key);
    if (same !== undefined) return same.ledger;
    const sheets = shelf.closed(day, times.now);
    const standing = charges(day, day, times);
    const ledger = writer.ledger(day, day, sheets, { ...terms, standing }, times);
    days.set(day.from, [{ terms: terms.key, ledger }, ...known.slice(0, 1)]);
    return ledger;
  }

  function open(part: Span, day: Span, times: AccountTimes, terms: BlockTerms): Ledger {
    const standing = charges(part, day, times);
    const begun = part.from < times.now;
    const provisional = terms.provisional && begun;
    const sheets = shelf.open(part, times.now);
    return writer.ledger(part, day, sheets, { ...terms, provisional, standing }, times);
  }

  /** Where in the span the first local day begins that can have anything in it. */
  function firstOf(span: Span, { since }: AccountTimes): Instant {
    const before = { from: span.from, to: Math.min(span.to, since) as Instant };
    const corrections = before.from < before.to ? store.corrections(before) : [];
    const first = Math.min(since, ...corrections.map((correction) => correction.span.from));
    return Math.max(span.from, basis.calendar.day(first as Instant).from) as Instant;
  }

  return {
    ledger(span, now, at) {
      const times = look(now);
      const termsOf = blockTerms(times, at);
      const sum = writer.empty();
      const end = Math.min(span.to, Math.max(now, extent?.to ?? now));
      for (let from = firstOf(span, times); from < end; ) {
        const day = basis.calendar.day(from);
        const to = Math.min(day.to, span.to) as Instant;
        const whole = from === day.from && to === day.to && to <= now;
        const terms = termsOf(day);
        const part = { from, to };
        addLedger(sum, whole ? closed(day, times, terms) : open(part, day, times, terms));
        from = to;
      }
      return sum;
    },

    blockUse(at, now) {
      const times = look(now);
      const tariff = basis.tariffs.tariffAt(at);
      return tariff && useOf(tariff, tariff.month(at), times);
    },

    touched(slot) {
      const day = basis.calendar.day(slot).from;
      shelf.forget(day);
      days.forget(day);
    },

    reconfigure(next) {
      basis = next;
      writer = ledgerWriter(basis);
      charges = standingCharges(basis);
      shelf.reconfigure(basis);
      days.clear();
      houses.clear();
    },
  };
}
