export type { DeviceKind } from './config.ts';
export type { BookStore, DevicePosting, Entry } from './entry.ts';
