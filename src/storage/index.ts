export type { AlertFilter } from './alerts.ts';
export {
  type Batch,
  emptyBatch,
  type RefusalCount,
  type SavedState,
  type StateRoom,
} from './batch.ts';
export type { NoteFilter } from './notes.ts';
export {
  openStore,
  openStoreReader,
  type Store,
  type StoreOptions,
  type StoreReader,
} from './store.ts';
