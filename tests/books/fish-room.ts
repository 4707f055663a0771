import type { DeviceConfig } from '../../src/books/config.ts';
import type { BookStore, DevicePosting, Entry } from '../../src/books/index.ts';
import {
  type Instant,
  instant,
  later,
  type Millis,
  type MilliwattHours,
  SLOT,
  type Span,
} from '../../src/units/index.ts';

export const at = (iso: string): Instant => instant(Date.parse(iso));

/** A device of a fish room that does not exist. */
export const device = (
  kind: DeviceConfig['kind'],
  nameplate_w: number,
  more: Partial<DeviceConfig> = {},
): DeviceConfig => ({ kind, nameplate_w, ...more });

/** A whole slot of a device, counted unless told otherwise. */
export const entry = (
  slot: Instant,
  name: string,
  energy: number,
  more: Partial<Entry> = {},
): Entry => ({
  slot,
  device: name,
  known: 'counted',
  energy: energy as MilliwattHours,
  spread: 0 as MilliwattHours,
  covered: SLOT,
  drawing: 0 as Millis,
  ...more,
});

export interface MemoryStore extends BookStore {
  book(...postings: readonly DevicePosting[]): void;
  /** The spans that were read, in order. */
  readonly read: Span[];
}

/** A BookStore that keeps each posting as it came. */
export function memoryStore(): MemoryStore {
  const entries: Entry[] = [];
  const read: Span[] = [];
  return {
    read,
    book: (...postings) => {
      entries.push(...postings);
      entries.sort((a, b) => a.slot - b.slot || (a.device < b.device ? -1 : 1));
    },
    entries: (span) => {
      read.push(span);
      return entries.filter(({ slot }) => slot >= span.from && slot < span.to);
    },
    extent: () => {
      const [first] = entries;
      const last = entries.at(-1);
      return first && last && { from: first.slot, to: later(last.slot, SLOT) };
    },
  };
}
