export { type Account, addAccounts } from './account.ts';
export { type AccountBook, createAccountBook } from './account-book.ts';
export type { AccountBasis } from './basis.ts';
export type { BlocksAt, BlockUse } from './blocks.ts';
export type { DeviceConfig, DeviceKind } from './config.ts';
export type { Correction } from './correction.ts';
export { corrected } from './corrections.ts';
export { countedEntries, type DayLine, dayLines, daysIn } from './day-lines.ts';
export { type BookStore, type DevicePosting, type Entry, stripOf } from './entry.ts';
export { type Amount, type Figures, missing, type RateAmount } from './figures.ts';
export type { HouseInterval, KeptBill } from './house.ts';
export { type PublishedAt, publishedPrices } from './published-prices.ts';
export { type Reckonable, reckon, reckonable } from './reckon.ts';
export type { BillCheck, ComputedBill } from './reconciliation/bill.ts';
export type { Comparison } from './reconciliation/compare.ts';
export type { EnergyByKnown, ImpossibleHour, ReconcileFinding } from './reconciliation/findings.ts';
export {
  type FishRoomUse,
  type HouseUse,
  type ReconcileInput,
  type Reconciliation,
  reconcile,
} from './reconciliation/reconcile.ts';
export {
  beginRepricing,
  type PricedSum,
  type Repriced,
  type Repricing,
  type RepricingSummary,
} from './repricing.ts';
export { type BookedEntry, type Strip, stripDivider, stripsFrom } from './strips.ts';
