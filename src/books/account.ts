import type { Instant, Span } from '../units/index.ts';
import { addFigures, type Figures, type OpenFigures, openFigures } from './figures.ts';

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
  /** Every tank that is named or that a device serves; 'upkeep' is always among them. */
  readonly tanks: ReadonlyMap<string, Figures>;
}

export interface OpenAccount extends Account {
  span: Span;
  readonly site: OpenFigures;
  readonly devices: Map<string, OpenFigures>;
  readonly tanks: Map<string, OpenFigures>;
}

export const emptyAccount = (span: Span): OpenAccount => ({
  span,
  site: openFigures(),
  devices: new Map(),
  tanks: new Map(),
});

export function figuresOf(all: Map<string, OpenFigures>, id: string): OpenFigures {
  let figures = all.get(id);
  if (figures === undefined) {
    figures = openFigures();
    all.set(id, figures);
  }
  return figures;
}

/** Adds an account to an open one. Their spans must not overlap. */
export function addAccount(to: OpenAccount, more: Account): void {
  addFigures(to.site, more.site);
  for (const [id, figures] of more.devices) addFigures(figuresOf(to.devices, id), figures);
  for (const [id, figures] of more.tanks) addFigures(figuresOf(to.tanks, id), figures);
  to.span = {
    from: Math.min(to.span.from, more.span.from) as Instant,
    to: Math.max(to.span.to, more.span.to) as Instant,
  };
}

/** The account of two spans that do not overlap: all figures are plain sums. */
export function addAccounts(a: Account, b: Account): Account {
  const sum = emptyAccount(a.span);
  addAccount(sum, a);
  addAccount(sum, b);
  return sum;
}
