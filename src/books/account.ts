import type { Instant, Span } from '../units/index.ts';
import { type Figures, figuresOf, tallyOf } from './figures.ts';
import { addTally, newTally, type Tally } from './tally.ts';

/**
 * The books of a span: what every device drew and cost, and whose it was. The tanks (with the
 * upkeep) and the devices each sum to the site, in energy and cost, to the last mWh and micro-unit;
 * times are summed over devices, and a device that serves two tanks counts its time in both.
 */
export interface Account {
  readonly span: Span;
  readonly site: Figures;
  /** Every device of the config, also without an entry, and any other that has entries. */
  readonly devices: ReadonlyMap<string, Figures>;
  /** Every tank that a device serves; 'upkeep' is always among them. */
  readonly tanks: ReadonlyMap<string, Figures>;
}

/** An account while it is added up. */
export interface Ledger {
  readonly site: Tally;
  readonly devices: Map<string, Tally>;
  readonly tanks: Map<string, Tally>;
}

export const newLedger = (): Ledger => ({
  site: newTally(),
  devices: new Map(),
  tanks: new Map(),
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
}

export const accountOf = (span: Span, { site, devices, tanks }: Ledger): Account => ({
  span,
  site: figuresOf(site),
  devices: mapValues(devices, figuresOf),
  tanks: mapValues(tanks, figuresOf),
});

const ledgerOf = ({ site, devices, tanks }: Account): Ledger => ({
  site: tallyOf(site),
  devices: mapValues(devices, tallyOf),
  tanks: mapValues(tanks, tallyOf),
});

const mapValues = <A, B>(all: ReadonlyMap<string, A>, change: (value: A) => B): Map<string, B> =>
  new Map([...all].map(([id, value]) => [id, change(value)]));

/** The account of two spans that do not overlap: all figures are plain sums. */
export function addAccounts(a: Account, b: Account): Account {
  const sum = ledgerOf(a);
  addLedger(sum, ledgerOf(b));
  const from = Math.min(a.span.from, b.span.from) as Instant;
  const to = Math.max(a.span.to, b.span.to) as Instant;
  return accountOf({ from, to }, sum);
}
