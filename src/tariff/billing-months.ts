import type { Calendar, Instant, MilliwattHours, Span } from '../units/index.ts';
import type { TariffConfig } from './config.ts';
import { millionths, rounded } from './exact.ts';
import { seasonFinder } from './seasons.ts';

export type Blocks = NonNullable<Extract<TariffConfig['energy'], { kind: 'flat' }>['blocks']>;

/** A span of a billing month, in whole local days, and how many the uncut month has. */
export interface BilledDays {
  readonly days: readonly string[];
  readonly of: number;
}

export interface BillingMonths {
  /** The billing month that holds `at`, not cut. */
  month(at: Instant): Span;
  days(month: Span): BilledDays;
}

export function billingMonths(calendar: Calendar, billingDay: number): BillingMonths {
  let last: { span: Span; days: BilledDays } | undefined;
  return {
    month: (at) => calendar.billingMonth(at, billingDay),
    days(month) {
      if (last?.span.from === month.from && last.span.to === month.to) return last.days;
      const of = calendar.dates(calendar.billingMonth(month.from, billingDay)).length;
      const days = { days: calendar.dates(month), of };
      last = { span: month, days };
      return days;
    },
  };
}

/**
 * Where the blocks of a billing month end. Every day brings its part: a day's allowance as it is, a
 * month's by the days of the month; so a month that a tariff's date cuts, or that lies in two
 * seasons, has its part of each.
 */
export function blockEndsOf(
  blocks: Blocks,
  seasons: Parameters<typeof seasonFinder>[0],
): (days: BilledDays) => readonly MilliwattHours[] {
  const { ends_kwh: always, ends_kwh_by_season: bySeason } = blocks;
  const seasonOf = seasonFinder(always === undefined ? seasons : undefined);
  const endsIn = (season: string): readonly number[] => always ?? bySeason?.[season] ?? [];
  return ({ days, of }) => {
    const counts = new Map<string, number>();
    for (const date of days) {
      const season = seasonOf(date);
      counts.set(season, (counts.get(season) ?? 0) + 1);
    }
    const first = endsIn(counts.keys().next().value ?? '');
    return first.map((_, block) => {
      let over = 0n;
      for (const [season, count] of counts) {
        over += millionths(endsIn(season)[block] ?? 0) * BigInt(count);
      }
      return rounded({ over, under: blocks.per === 'day' ? 1n : BigInt(of) }) as MilliwattHours;
    });
  };
}
