import type { DevicePosting, Entry } from '../../src/books/index.ts';
import { type Instant, SLOT, type Span } from '../../src/units/index.ts';

/** A quarter-hour in 2026, by its number from an arbitrary first one. */
export const slotAt = (number: number): Instant => ((1_962_000 + number) * SLOT) as Instant;

export const always = { from: slotAt(-10_000_000), to: slotAt(10_000_000) } as Span;

export function posting(
  slot: number,
  device: string,
  known: Entry['known'],
  energy: number,
  more: { spread?: number; covered?: number; drawing?: number } = {},
): DevicePosting {
  const { spread = 0, covered = 60_000, drawing = 0 } = more;
  return { slot: slotAt(slot), device, known, energy, spread, covered, drawing } as DevicePosting;
}
