import {
  apportion,
  type Calendar,
  type Instant,
  type Millis,
  type MilliwattHours,
  SLOT,
  type Span,
} from '../units/index.ts';
import type { DeviceConfig } from './config.ts';
import { type Entry, stripOf } from './entry.ts';
import { type Reckonable, reckonable } from './reckon.ts';

/** What a plug feeds. */
export interface Strip {
  /** The device that gets what the others leave. */
  readonly remainder: string;
  /** All of them, in the order of the config. */
  readonly devices: readonly string[];
}

/** An entry as accounts see it. */
export interface BookedEntry extends Entry {
  /** The part of its energy that was measured together with other devices' and divided by reckoning. */
  readonly divided?: MilliwattHours;
}

/**
 * What each plug feeds. Plugs with one device are among them: what was booked while such a plug fed
 * several, all now gone from the config, is that device's.
 */
export function stripsFrom(
  devices: Readonly<Record<string, DeviceConfig>>,
  plugs: Readonly<Record<string, { readonly remainder?: string | undefined }>>,
): ReadonlyMap<string, Strip> {
  const fed = new Map<string, [string, ...string[]]>();
  for (const [id, { plug }] of Object.entries(devices)) {
    if (plug === undefined) continue;
    const others = fed.get(plug);
    if (others === undefined) fed.set(plug, [id]);
    else others.push(id);
  }
  return new Map(
    [...fed].map(([plug, ids]) => [
      plug,
      { remainder: ids.find((id) => id === plugs[plug]?.remainder) ?? ids[0], devices: ids },
    ]),
  );
}

/** Divides the entries of strips, ordered by slot and strip; others pass unchanged. */
export type StripDivider = (entries: Iterable<Entry>) => BookedEntry[];

/** A device on a strip, with its power made ready. */
interface Outlet extends Reckonable {
  readonly isRemainder: boolean;
}

/** W × ms in one mWh. */
const WATT_MS_PER_MWH = 3600;

/**
 * Each device but the remainder gets its nameplate × scheduled time × duty of the slot (of the part
 * of it that is covered), at most what there is, in proportion where that is not enough; the
 * remainder gets the rest. Whole mWh that sum to the strip's, and so does each way of knowing.
 */
export function stripDivider(
  strips: ReadonlyMap<string, Strip>,
  devices: Readonly<Record<string, DeviceConfig>>,
  calendar: Calendar,
): StripDivider {
  const outlets = new Map<string, readonly Outlet[]>(
    [...strips].map(([plug, strip]) => [stripOf(plug), outletsOf(strip, devices, calendar)]),
  );
  return (entries) => {
    const divided: BookedEntry[] = [];
    let group: Entry[] = [];
    const close = (): void => {
      const [first] = group;
      if (first === undefined) return;
      const fed = outlets.get(first.device) ?? [];
      divideGroup(group, first.slot, fed, calendar.day(first.slot), divided);
      group = [];
    };
    for (const entry of entries) {
      const [first] = group;
      if (first !== undefined && (first.slot !== entry.slot || first.device !== entry.device)) {
        close();
      }
      if (outlets.has(entry.device)) group.push(entry);
      else divided.push(entry);
    }
    close();
    return divided;
  };
}

const outletsOf = (
  { remainder, devices: fed }: Strip,
  devices: Readonly<Record<string, DeviceConfig>>,
  calendar: Calendar,
): Outlet[] =>
  fed.flatMap((id) => {
    const config = devices[id];
    if (config === undefined) return [];
    return [{ ...reckonable(id, config, calendar), isRemainder: id === remainder }];
  });

/** The entries of one strip in one slot. */
function divideGroup(
  group: readonly Entry[],
  slot: Instant,
  fed: readonly Outlet[],
  day: Span,
  divided: BookedEntry[],
): void {
  const inUse = fed.filter(
    ({ isRemainder, ends }) => isRemainder || ends === undefined || slot < ends,
  );
  const only = inUse.length === 1 ? inUse[0] : undefined;
  if (only !== undefined) {
    for (const entry of group) divided.push({ ...entry, device: only.device });
    return;
  }
  const energy = sum(group.map((entry) => entry.energy));
  const known = Math.min(1, sum(group.map(({ covered }) => covered)) / SLOT);
  const drawing = inUse.map((outlet) => drawingIn(slot, outlet, day));
  const parts = partsOf(energy, inUse, (index) => (drawing[index] ?? 0) * known);
  for (const entry of group) {
    const energies =
      group.length === 1 ? (parts as MilliwattHours[]) : inProportion(entry.energy, parts, inUse);
    const spreads = inProportion(entry.spread, parts, inUse);
    inUse.forEach(({ device }, index) => {
      const part = energies[index] as MilliwattHours;
      const on = ((drawing[index] ?? 0) * Math.min(entry.covered, SLOT)) / SLOT;
      divided.push({
        ...entry,
        device,
        energy: part,
        spread: spreads[index] as MilliwattHours,
        drawing: Math.round(on) as Millis,
        divided: part,
      });
    });
  }
}

/** How long a device draws in a slot by its schedule and duty, ms. */
function drawingIn(slot: Instant, { onWithin, duty }: Outlet, day: Span): number {
  let time = 0;
  for (const { from, to } of onWithin(day)) {
    time += Math.max(0, Math.min(to, slot + SLOT) - Math.max(from, slot));
  }
  return time * duty;
}

function partsOf(
  energy: number,
  inUse: readonly Outlet[],
  drawing: (index: number) => number,
): number[] {
  const wanted = inUse.map(({ nameplate, isRemainder }, index) =>
    isRemainder ? 0 : Math.floor((nameplate * drawing(index)) / WATT_MS_PER_MWH),
  );
  const all = sum(wanted);
  if (energy > 0 && all > energy) return apportion(energy as MilliwattHours, wanted);
  return inUse.map(({ isRemainder }, index) => {
    if (energy <= 0) return isRemainder ? energy : 0;
    return isRemainder ? energy - all : (wanted[index] ?? 0);
  });
}

/** Divides as the whole was divided; what is not above zero goes with the remainder. */
function inProportion(
  total: MilliwattHours,
  parts: readonly number[],
  inUse: readonly Outlet[],
): MilliwattHours[] {
  return apportion(
    total,
    parts.every((part) => part >= 0) && parts.some((part) => part > 0)
      ? parts
      : inUse.map(({ isRemainder }) => (isRemainder ? 1 : 0)),
  );
}

const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);
