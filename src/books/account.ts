import type { Instant, MicroUnits, Span } from '../units/index.ts';
import { type Figures, figuresOf, tallyOf } from './figures.ts';
import { addLedger, type Ledger } from './ledger.ts';

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
  /** Every tank that a device serves at any time; 'upkeep' is always among them. */
  readonly tanks: ReadonlyMap<string, Figures>;
  /** What the time of the span that has passed costs without any energy; in no cost above. */
  readonly standing: MicroUnits;
  /** What of `standing` each tank bears; empty where tariffs keep it apart from the tanks. */
  readonly tankStanding: ReadonlyMap<string, MicroUnits>;
  /** It rests on block prices of a billing month that is not over, so its cost will change. */
  readonly provisional: boolean;
}

export const accountOf = (
  span: Span,
  { site, devices, tanks, standing, tankStanding, provisional }: Ledger,
): Account => ({
  span,
  site: figuresOf(site),
  devices: mapValues(devices, figuresOf),
  tanks: mapValues(tanks, figuresOf),
  standing: standing as MicroUnits,
  tankStanding: mapValues(tankStanding, (part) => part as MicroUnits),
  provisional,
});

const ledgerOf = ({
  site,
  devices,
  tanks,
  standing,
  tankStanding,
  provisional,
}: Account): Ledger => ({
  site: tallyOf(site),
  devices: mapValues(devices, tallyOf),
  tanks: mapValues(tanks, tallyOf),
  standing,
  tankStanding: new Map(tankStanding),
  provisional,
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
