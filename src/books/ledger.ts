import { type Share, shareOut, sharesIn } from '../shares/index.ts';
import type { Rate } from '../tariff/index.ts';
import {
  cost,
  type MicroPerKwh,
  type MicroUnits,
  type Millis,
  type MilliwattHours,
  type Span,
} from '../units/index.ts';
import { type AccountBasis, type AccountTimes, elapsedOf, servicesOf } from './basis.ts';
import { addProductSum, costOf, newProductSum } from './products.ts';
import { type DaySheets, energyOf, type Sheet, type SheetLine } from './sheets.ts';
import type { Standing } from './standing.ts';
import {
  addLine,
  addTally,
  addTimes,
  type Line,
  newTally,
  type Tally,
  type Times,
} from './tally.ts';

/** An account while it is added up. */
export interface Ledger {
  readonly site: Tally;
  readonly devices: Map<string, Tally>;
  readonly tanks: Map<string, Tally>;
  /** Standing charges, and what of them each tank bears. */
  standing: number;
  readonly tankStanding: Map<string, number>;
  provisional: boolean;
}

export const newLedger = (): Ledger => ({
  site: newTally(),
  devices: new Map(),
  tanks: new Map(),
  standing: 0,
  tankStanding: new Map(),
  provisional: false,
});

/** The tally of a device or tank, opened where there is none yet. */
export function tallyIn(all: Map<string, Tally>, id: string): Tally {
  let tally = all.get(id);
  if (tally === undefined) {
    tally = newTally();
    all.set(id, tally);
  }
  return tally;
}

/** The spans of the two must not overlap. */
export function addLedger(to: Ledger, more: Ledger): void {
  addTally(to.site, more.site);
  for (const [id, tally] of more.devices) addTally(tallyIn(to.devices, id), tally);
  for (const [id, tally] of more.tanks) addTally(tallyIn(to.tanks, id), tally);
  addStanding(to, { total: more.standing, tanks: more.tankStanding });
  to.provisional ||= more.provisional;
}

function addStanding(to: Ledger, { total, tanks }: Standing): void {
  to.standing += total;
  for (const [id, part] of tanks) to.tankStanding.set(id, (to.tankStanding.get(id) ?? 0) + part);
}

/** At what the energy of a local day is priced. */
export interface Terms {
  /** Of rates whose price is not their own alone: those with blocks. By `Rate.key`. */
  readonly blockPrices: ReadonlyMap<string, MicroPerKwh>;
  readonly provisional: boolean;
  readonly standing: Standing;
}

/**
 * Prices sheets and divides them among the tanks.
 *
 * Cost is rounded once for each device, local day and rate, on the sum of its energy; how it is
 * known divides that cost (the rounding of a running sum, best known first), and so do the shares
 * (largest remainder). Nothing is rounded after that, so days add up to weeks and months to the
 * last micro-unit, as long as the spans are cut at local midnights.
 */
export interface LedgerWriter {
  /** The ledger of nothing: every device of the config and every tank, with zeros. */
  empty(): Ledger;
  /** The ledger of a part of the local day `day`. */
  ledger(part: Span, day: Span, sheets: DaySheets, terms: Terms, times: AccountTimes): Ledger;
}

export function ledgerWriter(basis: AccountBasis): LedgerWriter {
  const { shares, tariffs } = basis;
  const services = servicesOf(basis);
  const rates = new Map<string, Rate>(tariffs.rates.map((rate) => [rate.key, rate]));

  function empty(): Ledger {
    const ledger = newLedger();
    for (const id of services.keys()) tallyIn(ledger.devices, id);
    for (const tank of shares.tanks) tallyIn(ledger.tanks, tank);
    return ledger;
  }

  function rateOf(key: string | undefined): Rate | undefined {
    return key === undefined ? undefined : rates.get(key);
  }

  function bookDevice(
    ledger: Ledger,
    id: string,
    day: Span,
    sheet: Sheet | undefined,
    elapsed: number | undefined,
    prices: Terms['blockPrices'],
  ): void {
    const energy = (sheet === undefined ? 0 : energyOf(sheet)) as MilliwattHours;
    const time = (sheet?.covered ?? 0) as Millis;
    const holders = sharesIn(shares.of(id, day.from), { energy, time });
    const device = tallyIn(ledger.devices, id);
    for (const open of sheet?.lines ?? []) {
      const line = priced(open, rateOf(open.rate), prices);
      addLine(ledger.site, line);
      addLine(device, line);
      const parts = lineParts(line, holders);
      holders.forEach(({ tank }, index) => {
        addLine(tallyIn(ledger.tanks, tank), parts[index] as Line);
      });
    }
    const times = timesOf(sheet, elapsed);
    addTimes(ledger.site, times);
    addTimes(device, times);
    for (const { tank } of holders) addTimes(tallyIn(ledger.tanks, tank), times);
  }

  return {
    empty,
    ledger(part, day, sheets, terms, times) {
      const ledger = empty();
      for (const [id, service] of services) {
        const elapsed = elapsedOf(service, part, times);
        bookDevice(ledger, id, day, sheets.get(id), elapsed, terms.blockPrices);
      }
      for (const [id, sheet] of sheets) {
        if (services.has(id)) continue;
        bookDevice(ledger, id, day, sheet, undefined, terms.blockPrices);
      }
      addStanding(ledger, terms.standing);
      ledger.provisional = terms.provisional;
      return ledger;
    },
  };
}

export function priced(
  { energy, spread, divided, products }: SheetLine,
  rate: Rate | undefined,
  blockPrices: Terms['blockPrices'],
): Line {
  const price = rate && priceOf(rate, blockPrices);
  if (products !== undefined && rate?.price.kind === 'slots') {
    return { rate, energy, cost: costsBySlot(products), spread, divided };
  }
  if (price === undefined) return { rate: undefined, energy, cost: NO_COST, spread, divided };
  return { rate, energy, cost: costsAt(price, energy), spread, divided };
}

const NO_COST = [0, 0, 0, 0];

function priceOf({ key, price }: Rate, blockPrices: Terms['blockPrices']): MicroPerKwh | undefined {
  if (price.kind === 'fixed') return price.perKwh;
  return price.kind === 'blocks' ? blockPrices.get(key) : undefined;
}

/** The cost of the sum, divided so that each part is within a micro-unit of its own. */
function costsAt(price: MicroPerKwh, energy: readonly number[]): number[] {
  let energySum = 0;
  let costSum = 0;
  return energy.map((part) => {
    energySum += part;
    const before = costSum;
    costSum = cost(energySum as MilliwattHours, price);
    return costSum - before;
  });
}

function costsBySlot(products: NonNullable<SheetLine['products']>): number[] {
  const sum = newProductSum();
  let costSum = 0;
  return products.map((product) => {
    addProductSum(sum, product);
    const before = costSum;
    costSum = costOf(sum);
    return costSum - before;
  });
}

function lineParts(line: Line, shares: readonly Share[]): Line[] {
  if (shares.length === 1) return [line];
  const energy = line.energy.map((part) => shareOut(part as MilliwattHours, shares));
  const cost = line.cost.map((part) => shareOut(part as MicroUnits, shares));
  const spread = shareOut(line.spread as MilliwattHours, shares);
  const divided = shareOut(line.divided as MilliwattHours, shares);
  return shares.map((_, index) => ({
    rate: line.rate,
    energy: energy.map((parts) => parts[index] ?? 0),
    cost: cost.map((parts) => parts[index] ?? 0),
    spread: spread[index] ?? 0,
    divided: divided[index] ?? 0,
  }));
}

/**
 * What a day adds to the time known of. Not more than has passed, lest one day's excess hide the
 * next one's hole; a device that is not in the config is asked only for what it has.
 */
function timesOf(sheet: Sheet | undefined, elapsed: number | undefined): Times {
  const { drawing, covered } = sheet ?? { drawing: 0, covered: 0 };
  if (elapsed === undefined) return { drawing, covered, elapsed: covered };
  return { drawing, covered: Math.min(covered, elapsed), elapsed };
}
