import type { Instant, Span } from '../units/index.ts';
import { type Account, accountOf, addLedger, type Ledger, newLedger } from './account.ts';
import { type AccountBasis, accountant } from './accountant.ts';
import type { BookStore } from './entry.ts';

/** Answers for any span, and remembers the local days that are over. */
export interface AccountBook {
  /**
   * The account of a span up to `now`: the sum of its local days. Entries belong to the span that
   * their slot begins in.
   */
  account(span: Span, now: Instant): Account;
  /** To be called when a posting to this slot has reached the store. */
  touched(slot: Instant): void;
  /** Another config: every account is drawn up anew. */
  reconfigure(basis: AccountBasis): void;
}

/** Some 20 MB: a year and more of the usual forty devices. */
const REMEMBERED_DEVICE_DAYS = 20_000;

/** @param remembered how many device-days of accounts to hold in memory */
export function createAccountBook(
  store: BookStore,
  basis: AccountBasis,
  remembered: number = REMEMBERED_DEVICE_DAYS,
): AccountBook {
  let { calendar } = basis;
  let drawUp = accountant(basis);
  /** By the day's first instant; those asked for last at the end. */
  const days = new Map<Instant, Ledger>();
  let deviceDays = 0;
  let since: Instant | undefined;
  let latest: (Span & { readonly now: Instant; readonly ledger: Ledger }) | undefined;
  /** No remembered day ends later. */
  let closedUntil = Number.NEGATIVE_INFINITY;

  function forget(day: Instant): void {
    deviceDays -= days.get(day)?.devices.size ?? 0;
    days.delete(day);
  }

  function forgetAll(): void {
    latest = undefined;
    days.clear();
    deviceDays = 0;
    closedUntil = Number.NEGATIVE_INFINITY;
  }

  /** Where the books begin decides what was to be known of every day. */
  function minds(begin: Instant | undefined): void {
    if (begin === since) return;
    since = begin;
    forgetAll();
  }

  /** Of empty books nothing was to be known yet. */
  const fresh = (span: Span, now: Instant, entries = store.entries(span)): Ledger =>
    drawUp(span, entries, { now, since: since ?? now });

  /** A page asks for the day under way as part of the week and the month too. */
  function open(part: Span, now: Instant): Ledger {
    if (latest?.now !== now || latest.from !== part.from || latest.to !== part.to) {
      latest = { ...part, now, ledger: fresh(part, now) };
    }
    return latest.ledger;
  }

  function closed(day: Span, now: Instant): Ledger {
    const known = days.get(day.from);
    if (known !== undefined) {
      days.delete(day.from);
      days.set(day.from, known);
      return known;
    }
    const ledger = fresh(day, now);
    days.set(day.from, ledger);
    deviceDays += ledger.devices.size;
    closedUntil = Math.max(closedUntil, day.to);
    for (const oldest of days.keys()) {
      if (deviceDays <= remembered) break;
      forget(oldest);
    }
    return ledger;
  }

  return {
    account(span, now) {
      minds(store.extent()?.from);
      const sum = newLedger();
      let from = span.from;
      addLedger(sum, fresh({ from, to: from }, now, []));
      while (from < span.to) {
        const day = calendar.day(from);
        const to = (from >= now ? span.to : Math.min(day.to, span.to)) as Instant;
        const whole = from === day.from && to === day.to && to <= now;
        const part = { from, to };
        const draw = whole ? closed : from < now && now < to ? open : fresh;
        addLedger(sum, draw(part, now));
        from = to;
      }
      return accountOf(span, sum);
    },

    touched(slot) {
      latest = undefined;
      if (slot < closedUntil) forget(calendar.day(slot).from);
    },

    reconfigure(next) {
      calendar = next.calendar;
      drawUp = accountant(next);
      forgetAll();
    },
  };
}
