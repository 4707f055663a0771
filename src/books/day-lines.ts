import type { Known } from '../metering/index.ts';
import type { Rate } from '../tariff/index.ts';
import type {
  Calendar,
  Instant,
  MicroPerKwh,
  MicroUnits,
  MilliwattHours,
  Span,
} from '../units/index.ts';
import type { AccountBook } from './account-book.ts';
import type { AccountBasis } from './basis.ts';
import type { BookStore } from './entry.ts';
import { priced } from './ledger.ts';
import { entriesOf, type SheetSource, sheetDrawer } from './sheets.ts';
import { type BookedEntry, stripDivider } from './strips.ts';
import { KNOWN } from './tally.ts';

/** What a device drew in a local day at one rate, by one way of knowing. */
export interface DayLine {
  /** The local day, or the part of it within the span that was asked for. */
  readonly day: Span;
  readonly device: string;
  /** undefined where no tariff and no published price covers it. */
  readonly rate: Rate | undefined;
  readonly known: Known;
  readonly energy: MilliwattHours;
  /** undefined where there is no rate. */
  readonly cost: MicroUnits | undefined;
}

/**
 * The entries of a span as they count: strips divided, corrections laid over. In the order of their
 * slots, read a local day at a time.
 */
export function* countedEntries(
  span: Span,
  source: SheetSource,
  { strips, devices, calendar }: AccountBasis,
): Generator<BookedEntry> {
  const divide = stripDivider(strips, devices, calendar);
  for (const day of daysIn(span, calendar)) yield* entriesOf(day, source, divide);
}

/**
 * The lines of a span that have energy, by local day, then device. They sum to the account of the
 * span: by device, by rate and by way of knowing.
 * @param book of the same basis: it knows block prices
 */
export function* dayLines(
  span: Span,
  store: BookStore,
  basis: AccountBasis,
  book: Pick<AccountBook, 'blockUse'>,
  now: Instant,
): Generator<DayLine> {
  const draw = sheetDrawer(basis);
  const rates = new Map(basis.tariffs.rates.map((rate) => [rate.key, rate]));
  const pricesOf = blockPrices(basis, book, now);
  for (const day of daysIn(span, basis.calendar)) {
    const sheets = [...draw(day, store)].sort(([a], [b]) => (a < b ? -1 : 1));
    const prices = sheets.length === 0 ? NO_PRICES : pricesOf(day.from);
    for (const [device, { lines }] of sheets) {
      for (const line of lines) {
        const { rate, energy, cost } = priced(line, rates.get(line.rate ?? ''), prices);
        for (const [place, known] of KNOWN.entries()) {
          const part = (energy[place] ?? 0) as MilliwattHours;
          const costs = (cost[place] ?? 0) as MicroUnits;
          if (part === 0 && costs === 0) continue;
          const priceless = rate === undefined;
          yield { day, device, rate, known, energy: part, cost: priceless ? undefined : costs };
        }
      }
    }
  }
}

/** The local days of a span; its first and last may be parts of one. */
export function* daysIn(span: Span, calendar: Calendar): Generator<Span> {
  for (let from = span.from; from < span.to; ) {
    const to = Math.min(calendar.day(from).to, span.to) as Instant;
    yield { from, to };
    from = to;
  }
}

type BlockPrices = ReadonlyMap<string, MicroPerKwh>;

const NO_PRICES: BlockPrices = new Map();

/** The block prices that hold on a day, looked up once a billing month. */
function blockPrices(
  { tariffs }: AccountBasis,
  book: Pick<AccountBook, 'blockUse'>,
  now: Instant,
): (at: Instant) => BlockPrices {
  const months = new Map<Instant, BlockPrices>();
  return (at) => {
    const tariff = tariffs.tariffAt(at);
    if (tariff === undefined) return NO_PRICES;
    const { from } = tariff.month(at);
    let prices = months.get(from);
    if (prices === undefined) {
      const use = [...(book.blockUse(at, now)?.prices ?? [])];
      prices = new Map(use.map(([rate, price]) => [rate, price[tariff.blocksAt]]));
      months.set(from, prices);
    }
    return prices;
  };
}
