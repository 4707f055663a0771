import type { StateRoom } from '../storage/index.ts';

/** What the rooms saved before the last stop, by room and key. */
export interface Memory {
  read(room: StateRoom): ReadonlyMap<string, object>;
}
