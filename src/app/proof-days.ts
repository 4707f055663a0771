import type { ProofDay } from '../alternatives/index.ts';
import { type AccountBasis, countedEntries, daysIn } from '../books/index.ts';
import type { StoreReader } from '../storage/index.ts';
import { type Calendar, type MilliwattHours, SLOT, type Span } from '../units/index.ts';
import { slotMeans } from './climate-means.ts';

/** What is held against the weather: these devices together, by the air at these probes. */
export interface Proofable {
  readonly devices: ReadonlySet<string>;
  readonly probes: readonly string[];
}

/** A day with fewer of its quarter-hours has no mean that stands for it. */
const ENOUGH_SLOTS = 0.75;

/** The whole local days of a span, as the proof of a change wants them. */
export function proofDays(
  { devices, probes }: Proofable,
  span: Span,
  parts: { store: StoreReader; basis: AccountBasis; calendar: Calendar },
): ProofDay[] {
  const { store, basis, calendar } = parts;
  return [...daysIn(span, calendar)].map((day) => {
    let energy = 0;
    let measured = 0;
    for (const entry of countedEntries(day, store, basis)) {
      if (!devices.has(entry.device)) continue;
      energy += entry.energy;
      if (entry.known === 'counted' || entry.known === 'integrated') measured += entry.covered;
    }
    const length = day.to - day.from;
    const means = slotMeans(store.climate(day))(probes);
    const isTold = means.length >= (ENOUGH_SLOTS * length) / SLOT;
    return {
      date: calendar.dateAt(day.from),
      energy: Math.max(0, energy) as MilliwattHours,
      meanC: isTold
        ? means.reduce((sum, { celsius }) => sum + celsius, 0) / means.length
        : undefined,
      known: devices.size === 0 ? 0 : Math.min(1, measured / (length * devices.size)),
    };
  });
}
