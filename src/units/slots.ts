import { type Instant, MINUTE, type Millis } from './quantities.ts';

/** The smallest span the books know: 15 minutes, aligned to UTC. */
export const SLOT = (15 * MINUTE) as Millis;

/** The start of the slot that holds `at`. */
export const slotOf = (at: Instant): Instant => (Math.floor(at / SLOT) * SLOT) as Instant;

/** A half-open span of time: `from` belongs to it, `to` does not. */
export interface Span {
  readonly from: Instant;
  readonly to: Instant;
}

/** A piece of a span that lies within one slot. */
export interface SlotPiece {
  readonly slot: Instant;
  readonly from: Instant;
  readonly to: Instant;
}

/** Cuts [from, to) at slot boundaries, in order. Empty when `to` is not after `from`. */
export function* slotPieces(from: Instant, to: Instant): Generator<SlotPiece> {
  let start = from;
  while (start < to) {
    const slot = slotOf(start);
    const end = Math.min(slot + SLOT, to) as Instant;
    yield { slot, from: start, to: end };
    start = end;
  }
}
