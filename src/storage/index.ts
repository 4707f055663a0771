export type { AlertFilter } from './alerts.ts';
export {
  type Batch,
  emptyBatch,
  type RefusalCount,
  type SavedState,
  type StateRoom,
} from './batch.ts';
export type { NewBill } from './bills.ts';
export { type Clerk, openClerk } from './clerk.ts';
export type { NewCorrection } from './corrections.ts';
export type { Import, NewImport } from './imports.ts';
export type { NoteCount, NoteFilter } from './notes.ts';
export type { StoreReader } from './reading.ts';
export type { Taken, Withdrawal } from './records.ts';
export type { RefusedFilter } from './refused.ts';
export type { NewRepricing, Repricing } from './repricings.ts';
export type { Answer, KeptRequest } from './requests.ts';
export { openStore, openStoreReader, type Store, type StoreOptions } from './store.ts';
export type { Superseded } from './superseded.ts';
