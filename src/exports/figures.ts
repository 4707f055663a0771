import type { Account, Figures } from '../books/index.ts';
import { type Column, currency, energy, localDay, moment, money, seconds, text } from './column.ts';

/** What one tank or device drew and cost in a span. */
export interface FiguresRow {
  readonly account: Account;
  readonly id: string;
  readonly figures: Figures;
}

type Of<Value> = (figures: Figures) => Value;

/** Nothing in the books of any of its time: then its energy is not 0 but unknown. */
const nothingKnown = ({ energy, covered, byKnown }: Figures): boolean =>
  energy === 0 && covered === 0 && Object.values(byKnown).every((part) => part.energy === 0);

const ofKnown =
  <Value>(of: Of<Value>) =>
  ({ figures }: FiguresRow): Value | undefined =>
    nothingKnown(figures) ? undefined : of(figures);

/** Its price is unknown where no tariff gives one for any of its energy. */
const costOf = (figures: Figures) =>
  figures.byRate.size === 0 && figures.unpriced !== 0 ? undefined : figures.cost;

const columns: readonly Column<FiguresRow>[] = [
  energy(
    'energy_wh',
    'its energy; empty where nothing is known of it',
    ofKnown((all) => all.energy),
  ),
  energy(
    'counted_wh',
    'the part from a counter',
    ofKnown((all) => all.byKnown.counted.energy),
  ),
  energy(
    'integrated_wh',
    'the part from power samples',
    ofKnown((all) => all.byKnown.integrated.energy),
  ),
  energy(
    'bridged_wh',
    'the part over gaps',
    ofKnown((all) => all.byKnown.bridged.energy),
  ),
  energy(
    'reckoned_wh',
    'the part by nameplate, schedule and duty, or booked by hand',
    ofKnown((all) => all.byKnown.reckoned.energy),
  ),
  energy(
    'spread_wh',
    'the part that is only spread evenly over its time',
    ofKnown((all) => all.spread),
  ),
  energy(
    'divided_wh',
    'the part that one plug measured for several devices, divided by reckoning',
    ofKnown((all) => all.divided),
  ),
  energy(
    'unpriced_wh',
    'the part that no tariff prices: its cost is unknown, and not in cost',
    ofKnown((all) => all.unpriced),
  ),
  money(
    'cost',
    'cost of the priced part, to the millionth; empty where nothing is priced',
    ofKnown(costOf),
  ),
  text('provisional', 'yes: it rests on block prices of a month that is not over', ({ account }) =>
    account.provisional ? 'yes' : 'no',
  ),
  currency(),
  seconds(
    'drawing_s',
    'how long it drew; of a tank summed over its devices, as are the next two',
    ofKnown((all) => all.drawing),
  ),
  seconds(
    'covered_s',
    'how much of elapsed_s the books know about',
    ({ figures }) => figures.covered,
  ),
  seconds('elapsed_s', 'how much time there was to know about', ({ figures }) => figures.elapsed),
];

export const tankColumns: readonly Column<FiguresRow>[] = [
  localDay(({ account }) => account.span.from),
  ...moment<FiguresRow>('start', 'when the day begins', ({ account }) => account.span.from),
  text('tank', 'id of the tank; upkeep is what belongs to none', ({ id }) => id),
  text('tank_name', 'its name for people', ({ id }, site) => site.tankName(id)),
  ...columns,
  money(
    'standing',
    'its part of the standing charges, not in cost; empty where the tariff keeps them apart',
    ({ account, id }) => account.tankStanding.get(id),
  ),
];

export const deviceColumns: readonly Column<FiguresRow>[] = [
  ...moment<FiguresRow>('start', 'when the span begins', ({ account }) => account.span.from),
  ...moment<FiguresRow>('end', 'when it ends', ({ account }) => account.span.to),
  text('device', 'id of the device', ({ id }) => id),
  text('device_name', 'its name for people', ({ id }, site) => site.deviceName(id)),
  ...columns,
];

/** @param accounts one for each local day */
export function* tankRows(accounts: Iterable<Account>): Generator<FiguresRow> {
  for (const account of accounts) yield* rowsOf(account, account.tanks);
}

export const deviceRows = (account: Account): Iterable<FiguresRow> =>
  rowsOf(account, account.devices);

function* rowsOf(account: Account, all: ReadonlyMap<string, Figures>): Generator<FiguresRow> {
  for (const [id, figures] of all) yield { account, id, figures };
}
