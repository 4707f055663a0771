import type { AccountBook } from '../books/index.ts';
import { type Calendar, DAY, HOUR, type Instant } from '../units/index.ts';
import type { CostsSeen } from '../watches/index.ts';

type MonthCost = NonNullable<CostsSeen['month']>;

/**
 * What the month has cost on the days that are over, and what it will come to at that pace, in the
 * site's currency; undefined on its first day. Worked out anew once an hour.
 */
export function monthCosts(
  books: AccountBook,
): (calendar: Calendar, now: Instant) => MonthCost | undefined {
  let known: { readonly at: Instant; readonly month: MonthCost | undefined } | undefined;

  function workOut(calendar: Calendar, now: Instant): MonthCost | undefined {
    const month = calendar.month(now);
    const today = calendar.day(now);
    if (today.from <= month.from) return undefined;
    const { site } = books.account({ from: month.from, to: today.from }, now);
    const spent = site.cost / 1e6;
    return {
      spent,
      projected: (spent * (month.to - month.from)) / (today.from - month.from),
      days: Math.round((today.from - month.from) / DAY),
      coverage: site.elapsed > 0 ? site.covered / site.elapsed : 0,
    };
  }

  return (calendar, now) => {
    if (known === undefined || Math.abs(now - known.at) >= HOUR) {
      known = { at: now, month: workOut(calendar, now) };
    }
    return known.month;
  };
}
