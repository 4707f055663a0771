import type { Known } from '../metering/index.ts';
import type { Rate, TariffBook } from '../tariff/index.ts';
import type { Instant, MicroPerKwh, Span } from '../units/index.ts';
import type { AccountBasis } from './basis.ts';
import { corrected } from './corrections.ts';
import type { BookStore, Entry } from './entry.ts';
import { addProduct, newProductSum, type ProductSum } from './products.ts';
import { type PublishedAt, publishedPrices } from './published-prices.ts';
import { type BookedEntry, stripDivider } from './strips.ts';
import { KNOWN } from './tally.ts';

/** One rate's part of a device's day. All whole mWh; by how it is known in the order of KNOWN. */
export interface SheetLine {
  /** `Rate.key`; undefined where no tariff prices it, or no price of the slot was published. */
  readonly rate: string | undefined;
  readonly energy: number[];
  spread: number;
  divided: number;
  /** Where each slot has a price of its own: energy × final price, by how it is known. */
  readonly products: readonly ProductSum[] | undefined;
}

/** What a device did in a local day, or a part of one, before money. */
export interface Sheet {
  readonly lines: SheetLine[];
  /** The one written to last: the next entry is nearly always for it. */
  line: SheetLine | undefined;
  covered: number;
  drawing: number;
}

/** By device. */
export type DaySheets = Map<string, Sheet>;

/** What sheets are drawn from. */
export type SheetSource = Pick<BookStore, 'entries' | 'corrections' | 'slotPrices'>;

/** Draws the sheets of a part of one local day. Of the tariff they take only which rate holds when. */
export type SheetDrawer = (part: Span, source: SheetSource) => DaySheets;

export function sheetDrawer({ tariffs, strips, devices, calendar }: AccountBasis): SheetDrawer {
  const divide = stripDivider(strips, devices, calendar);

  return (part, source) => {
    const sheets: DaySheets = new Map();
    const publishedAt = publishedPrices((series, { from, to }) =>
      source.slotPrices(series, { from, to: Math.min(to, part.to) as Instant }),
    );
    let slot: Instant | undefined;
    let rate: Rate | undefined;
    let price: MicroPerKwh | undefined;
    for (const entry of entriesOf(part, source, divide)) {
      if (entry.slot !== slot) {
        slot = entry.slot;
        rate = tariffs.rateAt(slot);
        price = rate?.price.kind === 'slots' ? slotPrice(slot, tariffs, publishedAt) : undefined;
        if (rate?.price.kind === 'slots' && price === undefined) rate = undefined;
      }
      let sheet = sheets.get(entry.device);
      if (sheet === undefined) {
        sheet = { lines: [], line: undefined, covered: 0, drawing: 0 };
        sheets.set(entry.device, sheet);
      }
      write(sheet, rate?.key, price, entry);
    }
    return sheets;
  };
}

/** A slot has the price that holds when it begins. */
function slotPrice(
  slot: Instant,
  tariffs: TariffBook,
  publishedAt: PublishedAt,
): MicroPerKwh | undefined {
  const tariff = tariffs.tariffAt(slot);
  if (tariff?.series === undefined) return undefined;
  const published = publishedAt(tariff.series, slot);
  return published === undefined ? undefined : tariff.slotPrice(published);
}

/** Entries of a part of a local day as they count: strips divided, corrections laid over. */
export function entriesOf(
  part: Span,
  source: SheetSource,
  divide: (entries: Iterable<Entry>) => BookedEntry[],
): Iterable<BookedEntry> {
  const corrections = source.corrections(part);
  const entries = divide(source.entries(part));
  return corrections.length === 0 ? entries : corrected(entries, corrections, part);
}

const PLACES = Object.fromEntries(KNOWN.map((known, place) => [known, place])) as Record<
  Known,
  number
>;

function write(
  sheet: Sheet,
  rate: string | undefined,
  price: MicroPerKwh | undefined,
  entry: BookedEntry,
): void {
  let { line } = sheet;
  if (line === undefined || line.rate !== rate) line = turnTo(sheet, rate, price !== undefined);
  const place = PLACES[entry.known];
  line.energy[place] = (line.energy[place] as number) + entry.energy;
  line.spread += entry.spread;
  if (entry.divided !== undefined) line.divided += entry.divided;
  if (price !== undefined) addProduct(line.products?.[place] as ProductSum, entry.energy, price);
  sheet.covered += entry.covered;
  sheet.drawing += entry.drawing;
}

function turnTo(sheet: Sheet, rate: string | undefined, bySlot: boolean): SheetLine {
  let line = sheet.lines.find((open) => open.rate === rate);
  if (line === undefined) {
    const products = bySlot ? KNOWN.map(newProductSum) : undefined;
    line = { rate, energy: [0, 0, 0, 0], spread: 0, divided: 0, products };
    sheet.lines.push(line);
  }
  sheet.line = line;
  return line;
}

/** All the energy of a sheet, mWh. */
export function energyOf({ lines }: Sheet): number {
  let sum = 0;
  for (const { energy } of lines) for (const part of energy) sum += part;
  return sum;
}
