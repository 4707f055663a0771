import type { Known } from '../metering/index.ts';
import { type Share, shareOut, sharesOf, UPKEEP } from '../shares/index.ts';
import type { Rate, TariffBook } from '../tariff/index.ts';
import {
  type Calendar,
  cost,
  type Instant,
  type MicroUnits,
  type MilliwattHours,
  type Span,
} from '../units/index.ts';
import { type Account, accountOf, type Ledger, newLedger, tallyIn } from './account.ts';
import type { DeviceConfig } from './config.ts';
import type { Entry } from './entry.ts';
import { reckonedFrom } from './reckon.ts';
import { addLine, addTimes, KNOWN, type Line, type Times } from './tally.ts';

/** What accounts are drawn up with. */
export interface AccountBasis {
  readonly calendar: Calendar;
  readonly tariffs: TariffBook;
  readonly devices: Readonly<Record<string, DeviceConfig>>;
}

/** Which time counts as elapsed. */
export interface AccountTimes {
  readonly now: Instant;
  /** When the books began: of the time before, no device is asked for anything. */
  readonly since?: Instant | undefined;
}

/** Draws up accounts: see `openAccount`. */
export type Accountant = (span: Span, entries: Iterable<Entry>, times: AccountTimes) => Ledger;

/**
 * The account of a span from its entries (slots within the span, ordered by slot).
 *
 * Cost is rounded once for each device, local day and rate, on the sum of its energy; how it is
 * known divides that cost (the rounding of a running sum, best known first), and so do the shares
 * (largest remainder). Nothing is rounded after that, so days add up to weeks and months to the
 * last micro-unit, as long as the spans are cut at local midnights.
 */
export const openAccount = (
  span: Span,
  entries: Iterable<Entry>,
  { now, since, ...basis }: AccountBasis & AccountTimes,
): Account => accountOf(span, accountant(basis)(span, entries, { now, since }));

interface Holder {
  readonly shares: readonly Share[];
  readonly begins: Instant | undefined;
}

/** A device that is not in the config: nobody can be told to have used its energy. */
const UNKNOWN: Holder = { shares: sharesOf({}), begins: undefined };

interface OpenLine {
  readonly rate: Rate | undefined;
  readonly energy: number[];
  spread: number;
}

/** One device's local day. */
interface Sheet {
  readonly lines: OpenLine[];
  /** The one written to last: the next entry is nearly always for it. */
  line: OpenLine | undefined;
  covered: number;
  drawing: number;
}

export function accountant({ calendar, tariffs, devices }: AccountBasis): Accountant {
  const holders = new Map<string, Holder>(
    Object.entries(devices).map(([id, config]) => [
      id,
      { shares: sharesOf(config), begins: reckonedFrom(config, calendar) },
    ]),
  );

  return (span, entries, times) => {
    const ledger = newLedger();
    tallyIn(ledger.tanks, UPKEEP);
    for (const [id, holder] of holders) {
      bookTimes(ledger, id, holder, {
        drawing: 0,
        covered: 0,
        elapsed: elapsed(holder, span, times),
      });
    }

    let day: Span = { from: span.from, to: span.from };
    let sheets = new Map<string, Sheet>();
    let slot: Instant | undefined;
    let rate: Rate | undefined;
    const closeDay = (): void => {
      for (const [id, sheet] of sheets) {
        const holder = holders.get(id);
        bookLines(ledger, id, holder ?? UNKNOWN, sheet);
        bookTimes(ledger, id, holder ?? UNKNOWN, coverage(holder, sheet, within(day, span), times));
      }
    };

    for (const entry of entries) {
      if (entry.slot !== slot) {
        slot = entry.slot;
        rate = tariffs.rateAt(slot);
        if (slot < day.from || slot >= day.to) {
          closeDay();
          sheets = new Map();
          day = calendar.day(slot);
        }
      }
      let sheet = sheets.get(entry.device);
      if (sheet === undefined) {
        sheet = { lines: [], line: undefined, covered: 0, drawing: 0 };
        sheets.set(entry.device, sheet);
      }
      write(sheet, rate, entry);
    }
    closeDay();
    return ledger;
  };
}

const PLACES = Object.fromEntries(KNOWN.map((known, place) => [known, place])) as Record<
  Known,
  number
>;

function write(sheet: Sheet, rate: Rate | undefined, entry: Entry): void {
  let { line } = sheet;
  if (line === undefined || line.rate !== rate) line = turnTo(sheet, rate);
  const place = PLACES[entry.known];
  line.energy[place] = (line.energy[place] ?? 0) + entry.energy;
  line.spread += entry.spread;
  sheet.covered += entry.covered;
  sheet.drawing += entry.drawing;
}

function turnTo(sheet: Sheet, rate: Rate | undefined): OpenLine {
  let line = sheet.lines.find((open) => open.rate === rate);
  if (line === undefined) {
    line = { rate, energy: [0, 0, 0, 0], spread: 0 };
    sheet.lines.push(line);
  }
  sheet.line = line;
  return line;
}

function bookLines(ledger: Ledger, id: string, { shares }: Holder, { lines }: Sheet): void {
  const device = tallyIn(ledger.devices, id);
  for (const { rate, energy, spread } of lines) {
    const line = { rate, energy, cost: costs(energy, rate), spread };
    addLine(ledger.site, line);
    addLine(device, line);
    const parts = lineParts(line, shares);
    shares.forEach(({ tank }, index) => {
      addLine(tallyIn(ledger.tanks, tank), parts[index] as Line);
    });
  }
}

/** The cost of the sum, divided so that each part is within a micro-unit of its own. */
function costs(energy: readonly number[], rate: Rate | undefined): number[] {
  let energySum = 0;
  let costSum = 0;
  return energy.map((part) => {
    if (rate === undefined) return 0;
    energySum += part;
    const before = costSum;
    costSum = cost(energySum as MilliwattHours, rate.price);
    return costSum - before;
  });
}

function lineParts(line: Line, shares: readonly Share[]): Line[] {
  if (shares.length === 1) return [line];
  const energy = line.energy.map((part) => shareOut(part as MilliwattHours, shares));
  const cost = line.cost.map((part) => shareOut(part as MicroUnits, shares));
  const spread = shareOut(line.spread as MilliwattHours, shares);
  return shares.map((_, index) => ({
    rate: line.rate,
    energy: energy.map((parts) => parts[index] ?? 0),
    cost: cost.map((parts) => parts[index] ?? 0),
    spread: spread[index] ?? 0,
  }));
}

function bookTimes(ledger: Ledger, id: string, { shares }: Holder, times: Times): void {
  addTimes(ledger.site, times);
  addTimes(tallyIn(ledger.devices, id), times);
  for (const { tank } of shares) addTimes(tallyIn(ledger.tanks, tank), times);
}

/** How much of a span has passed and is asked of a device. */
function elapsed({ begins }: Holder, span: Span, { now, since }: AccountTimes): number {
  const from = Math.max(span.from, since ?? span.from, begins ?? span.from);
  return Math.max(0, Math.min(span.to, now) - from);
}

/**
 * What a day adds to the time known of. Not more than has passed, lest one day's excess hide the
 * next one's hole; a device that is not in the config is asked only for what it has.
 */
function coverage(
  holder: Holder | undefined,
  { drawing, covered }: Sheet,
  part: Span,
  times: AccountTimes,
): Times {
  if (holder === undefined) return { drawing, covered, elapsed: covered };
  return { drawing, covered: Math.min(covered, elapsed(holder, part, times)), elapsed: 0 };
}

const within = (day: Span, span: Span): Span => ({
  from: Math.max(day.from, span.from) as Instant,
  to: Math.min(day.to, span.to) as Instant,
});
