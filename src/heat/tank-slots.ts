import type { Entry } from '../books/index.ts';
import { HOUR, type Instant, SLOT, type Span } from '../units/index.ts';
import type { TankSlot } from './windows.ts';

/** A device as far as it warms the tank's water. */
export interface WarmingDevice {
  readonly id: string;
  readonly heater: boolean;
  /** The part of its power that ends in the water: `heatIntoWater`, or as configured. */
  readonly intoWater: number;
  /** False for a device without a plug: its entries are reckoned, and say nothing of the tank. */
  readonly metered: boolean;
}

/** A slot's mean temperature. */
export interface SlotMean {
  readonly slot: Instant;
  readonly celsius: number;
}

export interface TankRecord {
  readonly tank: readonly SlotMean[];
  readonly room: readonly SlotMean[];
  readonly devices: readonly WarmingDevice[];
  /** Of the devices, in any order; others are passed over. */
  readonly entries: Iterable<Pick<Entry, 'slot' | 'device' | 'known' | 'energy' | 'covered'>>;
  /** A device's energy that a keeper voided or booked by hand. */
  readonly corrected: readonly { readonly device: string; readonly span: Span }[];
  /** Tending, and spans in which something was known to be wrong. */
  readonly disturbed: readonly Span[];
}

/** A part of the slot that is not accounted for is let pass: a plug's last report was earlier. */
const LEAST_COVERED = 0.9 * SLOT;
/** So much of a slot's heat may be bridged or reckoned before the slot is doubtful, W. */
const MOST_GUESSED_W = 1;
const SLOT_H = SLOT / HOUR;

interface Sum {
  heaterW: number;
  otherW: number;
  guessedW: number;
  /** How much of the slot each metered device accounts for, ms. */
  readonly covered: Map<string, number>;
}

function sumsOf(record: TankRecord): Map<Instant, Sum> {
  const devices = new Map(record.devices.map((device) => [device.id, device]));
  const sums = new Map<Instant, Sum>();
  for (const { slot, device: id, known, energy, covered } of record.entries) {
    const device = devices.get(id);
    if (device === undefined) continue;
    let sum = sums.get(slot);
    if (sum === undefined) {
      sum = { heaterW: 0, otherW: 0, guessedW: 0, covered: new Map() };
      sums.set(slot, sum);
    }
    const heatW = (energy / 1000 / SLOT_H) * device.intoWater;
    if (device.heater) sum.heaterW += heatW;
    else sum.otherW += heatW;
    const guessed = known === 'bridged' || known === 'reckoned';
    // What a lamp without a plug is reckoned to draw is all that is known of it.
    if (guessed && (device.metered || device.heater)) sum.guessedW += Math.abs(heatW);
    sum.covered.set(id, (sum.covered.get(id) ?? 0) + covered);
  }
  return sums;
}

const touches = (span: Span, slot: Instant): boolean => span.from < slot + SLOT && slot < span.to;

/**
 * A tank's quarter-hours from climate and books, for `cutWindows`: one for each slot in which the
 * water was measured. A slot is doubtful where a metered device is not covered, where more than a
 * watt is bridged, where a keeper corrected, or where a heater has no plug.
 */
export function tankSlots(record: TankRecord): TankSlot[] {
  const room = new Map(record.room.map(({ slot, celsius }) => [slot, celsius]));
  const sums = sumsOf(record);
  const metered = record.devices.filter((device) => device.metered && device.intoWater > 0);
  const blind = record.devices.some((device) => device.heater && !device.metered);
  const ids = new Set(record.devices.map(({ id }) => id));
  const corrected = record.corrected.filter(({ device }) => ids.has(device));
  return record.tank.map(({ slot, celsius }) => {
    const sum = sums.get(slot);
    const uncovered = metered.some(({ id }) => (sum?.covered.get(id) ?? 0) < LEAST_COVERED);
    return {
      slot,
      tankC: celsius,
      roomC: room.get(slot),
      heaterW: sum?.heaterW ?? 0,
      otherW: sum?.otherW ?? 0,
      doubtful:
        blind ||
        uncovered ||
        (sum?.guessedW ?? 0) > MOST_GUESSED_W ||
        corrected.some(({ span }) => touches(span, slot)),
      disturbed: record.disturbed.some((span) => touches(span, slot)),
    };
  });
}
