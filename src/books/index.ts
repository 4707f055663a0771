export { type Account, addAccounts } from './account.ts';
export { type AccountBook, createAccountBook } from './account-book.ts';
export { type AccountBasis, type AccountTimes, openAccount } from './accountant.ts';
export type { DeviceConfig, DeviceKind } from './config.ts';
export type { BookStore, DevicePosting, Entry } from './entry.ts';
export { type Amount, type Figures, missing, type RateAmount } from './figures.ts';
export { type Reckonable, reckon, reckonable } from './reckon.ts';
