import {
  type Calendar,
  type Instant,
  type LocalDate,
  type Millis,
  type MilliwattHours,
  type Span,
  slotPieces,
} from '../units/index.ts';
import type { DeviceConfig, DeviceKind } from './config.ts';
import type { DevicePosting } from './entry.ts';
import { dailyWindows, scheduledOn } from './schedule.ts';

/** A device without a plug, made ready to be reckoned. */
export interface Reckonable {
  readonly device: string;
  /** Nothing is reckoned before; undefined where the config does not say. */
  readonly begins: Instant | undefined;
  /** Nothing is reckoned from here on; undefined while it is in use. */
  readonly ends: Instant | undefined;
  /** Power at its plate, W. */
  readonly nameplate: number;
  /** Fraction of its scheduled time at that power, 0–1. */
  readonly duty: number;
  readonly calendar: Calendar;
  /** When its schedule has it on within a local day. */
  readonly onWithin: (day: Span) => readonly Span[];
}

/** Common practice, no source: what a thermostat switches runs a third of the time. */
const THERMOSTATIC_DUTY = 1 / 3;
const THERMOSTATIC: ReadonlySet<DeviceKind> = new Set([
  'heater',
  'room-heater',
  'chiller',
  'heat-mat',
]);

/** W × ms in one mWh. */
const WATT_MS_PER_MWH = 3600;

/** Fraction of its scheduled time at rated power, where nothing measures it. */
export const dutyOf = ({ duty, kind }: DeviceConfig): number =>
  duty ?? (THERMOSTATIC.has(kind) ? THERMOSTATIC_DUTY : 1);

/** Makes a device that nothing measures ready to be reckoned by its nameplate, schedule and duty. */
export function reckonable(id: string, config: DeviceConfig, calendar: Calendar): Reckonable {
  const windows = dailyWindows(config.schedule);
  let known: { readonly day: Span; readonly on: readonly Span[] } | undefined;
  return {
    device: id,
    begins: reckonedFrom(config, calendar),
    ends: usedUntil(config, calendar),
    nameplate: config.nameplate_w,
    duty: dutyOf(config),
    calendar,
    onWithin: (day) => {
      if (known?.day.from !== day.from) known = { day, on: scheduledOn(windows, day, calendar) };
      return known.on;
    },
  };
}

/** The start of a device's `reckon_from`; undefined where it has a plug or does not say. */
export function reckonedFrom(config: DeviceConfig, calendar: Calendar): Instant | undefined {
  if (config.plug !== undefined || config.reckon_from === undefined) return undefined;
  return calendar.dayOf(config.reckon_from as LocalDate).from;
}

/** The end of the last local day a device was in use; undefined while it is. */
export const usedUntil = ({ until }: DeviceConfig, calendar: Calendar): Instant | undefined =>
  until === undefined ? undefined : calendar.dayOf(until as LocalDate).to;

/**
 * What a device without a plug drew in [from, to): one posting a slot, also for the slots it was
 * off in, so that they count as known. The energy since local midnight is rounded, not that of each
 * posting: whole days are right to the mWh, and however a time is cut into calls, its postings sum
 * to the same.
 */
export function reckon(device: Reckonable, from: Instant, to: Instant): DevicePosting[] {
  const postings: DevicePosting[] = [];
  const stop = Math.min(to, device.ends ?? to);
  let start = Math.max(from, device.begins ?? from) as Instant;
  while (start < stop) {
    const day = device.calendar.day(start);
    const end = Math.min(day.to, stop) as Instant;
    reckonWithin(device, day, start, end, postings);
    start = end;
  }
  return postings;
}

function reckonWithin(
  device: Reckonable,
  day: Span,
  from: Instant,
  to: Instant,
  postings: DevicePosting[],
): void {
  const on = device.onWithin(day);
  let before = sinceMidnight(device, on, from);
  for (const piece of slotPieces(from, to)) {
    const after = sinceMidnight(device, on, piece.to);
    postings.push({
      device: device.device,
      slot: piece.slot,
      known: 'reckoned',
      energy: (after.energy - before.energy) as MilliwattHours,
      spread: 0 as MilliwattHours,
      covered: (piece.to - piece.from) as Millis,
      drawing: (after.drawing - before.drawing) as Millis,
    });
    before = after;
  }
}

function sinceMidnight(
  { nameplate, duty }: Reckonable,
  on: readonly Span[],
  at: Instant,
): { readonly energy: number; readonly drawing: number } {
  let time = 0;
  for (const { from, to } of on) {
    if (at <= from) break;
    time += Math.min(at, to) - from;
  }
  return {
    energy: Math.round((nameplate * duty * time) / WATT_MS_PER_MWH),
    drawing: Math.round(time * duty),
  };
}
