import type { Instant, MicroUnits, MilliwattHours, Span } from '../units/index.ts';
import type { AccountBasis } from './basis.ts';
import { hasBlocks } from './blocks.ts';
import type { BookStore, Entry } from './entry.ts';
import { figuresOf } from './figures.ts';
import { addLedger, type Ledger, newLedger, tallyIn } from './ledger.ts';
import { createLedgerBook, type LedgerBook } from './ledger-book.ts';
import { sheetKeys, tariffsOn } from './sheet-key.ts';
import { createShelf, type SheetShelf } from './sheet-shelf.ts';
import { addTally, newTally, type Tally } from './tally.ts';

/** A new basis held against the one in force, day by day; nothing in force changes. */
export interface Repricing {
  /** The local days of the books that the change touches, in order; the last may be under way. */
  readonly days: readonly Span[];
  /** How much is done, 0–1. */
  readonly progress: number;
  /**
   * Does a day's work, some milliseconds. False when nothing is left to do. When it throws, as
   * stores may, nothing was counted, and it may be called again.
   */
  step(): boolean;
  /** What would change, of the days done so far. */
  summary(): RepricingSummary;
}

/** What something used and cost before and would after. */
export interface Repriced {
  readonly before: PricedSum;
  readonly after: PricedSum;
}

export interface PricedSum {
  readonly energy: MilliwattHours;
  /** Of the priced part. */
  readonly cost: MicroUnits;
  readonly unpriced: MilliwattHours;
}

export interface RepricingSummary {
  /** From the first day touched to the end of the last; undefined when none is. */
  readonly span: Span | undefined;
  readonly site: Repriced;
  readonly tanks: ReadonlyMap<string, Repriced>;
  readonly devices: ReadonlyMap<string, Repriced>;
  /** The site by calendar month, 'YYYY-MM'. */
  readonly months: ReadonlyMap<string, Repriced>;
  readonly standing: { readonly before: MicroUnits; readonly after: MicroUnits };
  /** It rests on block prices of a month that is not over. */
  readonly provisional: boolean;
}

/** Of two months with all their days: what blocks need at once. */
const REMEMBERED_DAYS = 64;

interface Side {
  readonly basis: AccountBasis;
  readonly shelf: SheetShelf;
  readonly ledgers: LedgerBook;
  readonly sum: Ledger;
  readonly months: Map<string, Tally>;
}

/**
 * Begins to re-price everything that is not the same under `after` as it was under `before`. The
 * sheets of days done are kept in the store: a job that was cut short and is begun again does not
 * read their entries again, nor does an account book that goes on with `after`.
 */
export function beginRepricing(
  store: BookStore,
  before: AccountBasis,
  after: AccountBasis,
  now: Instant,
): Repricing {
  const days = touchedDays(store, before, after, now);
  const source = readOnce(store);
  const weight = REMEMBERED_DAYS * (1 + Object.keys(before.devices).length);
  const open = (basis: AccountBasis): Side => {
    const shelf = createShelf(source, basis, { remembered: weight, settled: 0 });
    const ledgers = createLedgerBook(source, shelf, basis, 0);
    return { basis, shelf, ledgers, sum: newLedger(), months: new Map() };
  };
  const sides = [open(before), open(after)] as const;
  const tasks = tasksFor(days, sides, store.extent(), now);
  let done = 0;

  return {
    days,
    get progress() {
      return tasks.length === 0 ? 1 : done / tasks.length;
    },
    step() {
      tasks[done]?.();
      done = Math.min(done + 1, tasks.length);
      return done < tasks.length;
    },
    summary: () => summaryOf(days, sides[0], sides[1]),
  };
}

/** The local days with books whose figures may differ between the two. */
function touchedDays(
  store: BookStore,
  before: AccountBasis,
  after: AccountBasis,
  now: Instant,
): Span[] {
  const extent = store.extent();
  if (extent === undefined) return [];
  const keysBefore = dayKeys(before);
  const keysAfter = dayKeys(after);
  const days: Span[] = [];
  const end = Math.min(extent.to, now);
  for (let at = extent.from; at < end; ) {
    const day = after.calendar.day(at);
    if (keysBefore(day) !== keysAfter(day)) days.push(day);
    at = day.to;
  }
  return days;
}

/** Everything that the figures of a day rest on but its entries and what lies over them. */
function dayKeys(basis: AccountBasis): (day: Span) => string {
  const sheetKey = sheetKeys(basis);
  return (day) => {
    const holding = tariffsOn(day, basis.tariffs.tariffs).map((tariff) => {
      const { id, priceKey } = tariff;
      // Where there are blocks, the whole month decides the price of each of its days.
      return hasBlocks(tariff)
        ? [id, priceKey, tariff.month(day.from), basis.otherPerMonth]
        : [id, priceKey];
    });
    return JSON.stringify([sheetKey(day), holding, basis.shares.keyOf(day.from)]);
  };
}

/** Draws a day, then adds it up; a month with blocks is drawn wholly before its first day is priced. */
function tasksFor(
  days: readonly Span[],
  sides: readonly Side[],
  extent: Span | undefined,
  now: Instant,
): (() => void)[] {
  const tasks: (() => void)[] = [];
  const queued = new Set<Instant>();
  const drawing = (day: Span): void => {
    if (queued.has(day.from) || day.to > now) return;
    queued.add(day.from);
    tasks.push(() => {
      for (const { shelf } of sides) shelf.closed(day, now);
    });
  };
  for (const day of days) {
    for (const { basis } of sides) {
      for (const other of daysPricedWith(day, basis, extent)) drawing(other);
    }
    drawing(day);
    tasks.push(() => {
      // Nothing is added up before both are drawn: a step that failed is taken again as a whole.
      const ledgers = sides.map((side) => side.ledgers.ledger(day, now, undefined));
      sides.forEach((side, index) => {
        addDay(side, day, ledgers[index] as Ledger);
      });
    });
  }
  return tasks;
}

/** The days whose energy decides the block prices of a day. */
function daysPricedWith(
  day: Span,
  { tariffs, calendar }: AccountBasis,
  extent: Span | undefined,
): Span[] {
  const [tariff] = tariffsOn(day, tariffs.tariffs);
  if (tariff === undefined || extent === undefined || !hasBlocks(tariff)) return [];
  const month = tariff.month(day.from);
  const days: Span[] = [];
  const end = Math.min(month.to, extent.to);
  for (let at = Math.max(month.from, extent.from) as Instant; at < end; ) {
    const other = calendar.day(at);
    days.push(other);
    at = other.to;
  }
  return days;
}

function addDay({ basis, sum, months }: Side, day: Span, ledger: Ledger): void {
  addLedger(sum, ledger);
  addTally(tallyIn(months, basis.calendar.dateAt(day.from).slice(0, 7)), ledger.site);
}

/** Both sides draw a day from one reading of its entries. */
function readOnce(store: BookStore): BookStore {
  let last: (Span & { readonly entries: readonly Entry[] }) | undefined;
  return {
    entries(span) {
      if (last?.from !== span.from || last.to !== span.to) {
        last = { ...span, entries: [...store.entries(span)] };
      }
      return last.entries;
    },
    extent: () => store.extent(),
    corrections: (span) => store.corrections(span),
    slotPrices: (series, span) => store.slotPrices(series, span),
    house: (span) => store.house(span),
    edition: () => store.edition(),
    sheets: (day, key) => store.sheets(day, key),
    keepSheets: (day, key, sheets) => store.keepSheets(day, key, sheets),
  };
}

function summaryOf(days: readonly Span[], before: Side, after: Side): RepricingSummary {
  const [first] = days;
  const last = days.at(-1);
  return {
    span: first && last && { from: first.from, to: last.to },
    site: repriced(before.sum.site, after.sum.site),
    tanks: allRepriced(before.sum.tanks, after.sum.tanks),
    devices: allRepriced(before.sum.devices, after.sum.devices),
    months: allRepriced(before.months, after.months),
    standing: {
      before: before.sum.standing as MicroUnits,
      after: after.sum.standing as MicroUnits,
    },
    provisional: before.sum.provisional || after.sum.provisional,
  };
}

const allRepriced = (
  before: ReadonlyMap<string, Tally>,
  after: ReadonlyMap<string, Tally>,
): Map<string, Repriced> =>
  new Map(
    [...new Set([...before.keys(), ...after.keys()])].map((id) => [
      id,
      repriced(before.get(id) ?? newTally(), after.get(id) ?? newTally()),
    ]),
  );

const repriced = (before: Tally, after: Tally): Repriced => ({
  before: pricedSum(before),
  after: pricedSum(after),
});

function pricedSum(tally: Tally): PricedSum {
  const { energy, cost, unpriced } = figuresOf(tally);
  return { energy, cost, unpriced };
}
