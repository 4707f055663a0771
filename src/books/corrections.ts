import { type Instant, type Millis, type MilliwattHours, SLOT, type Span } from '../units/index.ts';
import type { Correction } from './correction.ts';
import type { BookedEntry } from './strips.ts';

/**
 * Entries with what the keeper corrected laid over them, in the order the corrections were made. A
 * void takes what the device has in its slots, earlier bookings too, and the time it covers. A
 * booking spreads its energy evenly over its slots (largest remainder, earlier slots first), as
 * reckoned, and covers what nothing else covers. Strips are to be divided before.
 *
 * @param entries ordered by slot, then device; so is what comes back
 * @param within bookings count only in slots that begin in this span: give it whenever the entries
 *   are those of a part of the books
 */
export function corrected(
  entries: Iterable<BookedEntry>,
  corrections: readonly Correction[],
  within?: Span,
): BookedEntry[] {
  const valid = corrections
    .filter(({ withdrawn }) => withdrawn === undefined)
    .sort((a, b) => a.number - b.number);
  const untouched: BookedEntry[] = [];
  const slots = new Map<string, Map<Instant, BookedEntry[]>>(
    valid.map(({ device }) => [device, new Map()]),
  );
  for (const entry of entries) {
    const own = slots.get(entry.device);
    if (own === undefined) untouched.push(entry);
    else put(own, entry);
  }
  for (const correction of valid) {
    const own = slots.get(correction.device) as Map<Instant, BookedEntry[]>;
    if (correction.kind === 'void') voidSlots(own, correction);
    else bookSlots(own, correction, within ?? correction.span);
  }
  const touched = [...slots.values()].flatMap((own) => [...own.values()].flat());
  if (touched.length === 0) return untouched;
  return [...untouched, ...touched].sort(
    (a, b) => a.slot - b.slot || (a.device < b.device ? -1 : a.device > b.device ? 1 : 0),
  );
}

function put(slots: Map<Instant, BookedEntry[]>, entry: BookedEntry): void {
  const there = slots.get(entry.slot);
  if (there === undefined) slots.set(entry.slot, [entry]);
  else there.push(entry);
}

function voidSlots(slots: Map<Instant, BookedEntry[]>, { span }: Correction): void {
  for (const slot of slots.keys()) {
    if (slot >= span.from && slot < span.to) slots.delete(slot);
  }
}

function bookSlots(
  slots: Map<Instant, BookedEntry[]>,
  { device, span, energy }: Correction,
  within: Span,
): void {
  const count = (span.to - span.from) / SLOT;
  const odd = energy % count;
  const even = (energy - odd) / count;
  const first = Math.max(0, Math.ceil((within.from - span.from) / SLOT));
  for (let index = first; index < count; index += 1) {
    const slot = (span.from + index * SLOT) as Instant;
    if (slot >= within.to) break;
    const part = (even + (index < Math.abs(odd) ? Math.sign(odd) : 0)) as MilliwattHours;
    const covered = (slots.get(slot) ?? []).reduce((sum, entry) => sum + entry.covered, 0);
    put(slots, {
      slot,
      device,
      known: 'reckoned',
      energy: part,
      spread: part,
      covered: Math.min(SLOT, Math.max(0, SLOT - covered)) as Millis,
      drawing: 0 as Millis,
    });
  }
}
