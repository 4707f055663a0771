import type { Rate, TariffBook } from '../../tariff/index.ts';
import { type Calendar, type Instant, SLOT, type Span, slotOf } from '../../units/index.ts';

/** The slots of a span, by number, and where each belongs. A row for each month, hour and rate. */
export interface SlotGrid {
  /** Start of the first slot. */
  readonly from: Instant;
  readonly count: number;
  /** Of each slot: which of `months`. */
  readonly month: Int32Array;
  /** Calendar months, 'YYYY-MM'. */
  readonly months: readonly string[];
  /** Of each slot: the hour that the wall clock shows, 0–23. */
  readonly hour: Int32Array;
  /** Of each slot: which hour since the first, where an hour that comes twice is two. */
  readonly passed: Int32Array;
  readonly hoursPassed: number;
  /** Of each slot: which of `rates`. */
  readonly rate: Int32Array;
  /** undefined among them where no tariff holds. */
  readonly rates: readonly (Rate | undefined)[];
}

export const slotAt = ({ from }: SlotGrid, index: number): Instant =>
  (from + index * SLOT) as Instant;

/** May lie outside the grid. */
export const indexOf = ({ from }: SlotGrid, at: Instant): number => (slotOf(at) - from) / SLOT;

/** A calendar is asked once for each slot. @param span on quarter-hours, as local days are */
export function slotGrid(span: Span, calendar: Calendar, tariffs: TariffBook): SlotGrid {
  const from = slotOf(span.from);
  const count = Math.max(0, Math.ceil((span.to - from) / SLOT));
  const [month, hour, passed, rate] = [0, 0, 0, 0].map(() => new Int32Array(count)) as [
    Int32Array,
    Int32Array,
    Int32Array,
    Int32Array,
  ];
  const months = numbered<string>();
  const rates = numbered<Rate | undefined>((found) => found?.key);
  let before = { hour: -1, minute: -1 };
  let hoursPassed = 0;
  for (let index = 0; index < count; index += 1) {
    const slot = (from + index * SLOT) as Instant;
    const { date, minute } = calendar.local(slot);
    const now = { hour: Math.floor(minute / 60), minute };
    // A clock set back shows no later minute than before.
    if (now.hour !== before.hour || now.minute <= before.minute) hoursPassed += 1;
    before = now;
    month[index] = months.of(date.slice(0, 7));
    hour[index] = now.hour;
    passed[index] = hoursPassed - 1;
    rate[index] = rates.of(tariffs.rateAt(slot));
  }
  return {
    from,
    count,
    month,
    months: months.all,
    hour,
    passed,
    hoursPassed,
    rate,
    rates: rates.all,
  };
}

/** Numbers things as they come, alike ones alike. */
function numbered<Thing>(keyOf: (thing: Thing) => unknown = (thing) => thing) {
  const all: Thing[] = [];
  const numbers = new Map<unknown, number>();
  const of = (thing: Thing): number => {
    const key = keyOf(thing);
    let number = numbers.get(key);
    if (number === undefined) {
      number = all.push(thing) - 1;
      numbers.set(key, number);
    }
    return number;
  };
  return { all, of };
}
