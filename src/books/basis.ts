import type { ShareBook } from '../shares/index.ts';
import type { TariffBook } from '../tariff/index.ts';
import type { Calendar, Instant, MilliwattHours, Span } from '../units/index.ts';
import type { DeviceConfig } from './config.ts';
import { reckonedFrom, usedUntil } from './reckon.ts';
import type { Strip } from './strips.ts';

/** What accounts are drawn up with. */
export interface AccountBasis {
  readonly calendar: Calendar;
  readonly tariffs: TariffBook;
  readonly devices: Readonly<Record<string, DeviceConfig>>;
  readonly shares: ShareBook;
  /** By plug, what it feeds: see `stripsFrom`. */
  readonly strips: ReadonlyMap<string, Strip>;
  /** What the rest of the house uses in a month, as the keeper states it; for blocks. */
  readonly otherPerMonth?: MilliwattHours | undefined;
}

/** Which time counts as elapsed. */
export interface AccountTimes {
  readonly now: Instant;
  /** When the books began: of the time before, no device is asked for anything. */
  readonly since: Instant;
}

/** When a device of the config is asked for anything. */
export interface Service {
  readonly begins: Instant | undefined;
  readonly ends: Instant | undefined;
}

export const servicesOf = ({ devices, calendar }: AccountBasis): ReadonlyMap<string, Service> =>
  new Map(
    Object.entries(devices).map(([id, config]) => [
      id,
      { begins: reckonedFrom(config, calendar), ends: usedUntil(config, calendar) },
    ]),
  );

/** How much of a span has passed and is asked of a device. */
export function elapsedOf(
  { begins, ends }: Service,
  span: Span,
  { now, since }: AccountTimes,
): number {
  const from = Math.max(span.from, since, begins ?? span.from);
  return Math.max(0, Math.min(span.to, now, ends ?? span.to) - from);
}
