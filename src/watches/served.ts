import type { LocalDate } from '../units/index.ts';

/** Whose a device is: its tank, its shares, or divided by a rule. */
interface Belonging {
  readonly tank?: string | undefined;
  readonly shares?: Readonly<Record<string, number>> | undefined;
  readonly divided?: object | undefined;
}

export interface ServingDevice extends Belonging {
  /** By date, the earliest first. */
  readonly moved?: readonly (Belonging & { readonly on: string })[] | undefined;
  /** The last local day it was in use. */
  readonly until?: string | undefined;
}

/**
 * Whether a device is in use on a local day.
 * @param today without it: on a day after all that the config names
 */
export const inUse = ({ until }: ServingDevice, today: LocalDate | undefined): boolean =>
  until === undefined || (today !== undefined && today <= until);

/**
 * The tank whose water a heater's thermostat feels on a local day: its own, or the one with the
 * largest share. Undefined where it serves several alike.
 * @param today without it: on a day after all that the config names
 */
export function tankOf(
  device: ServingDevice,
  tanks: Readonly<Record<string, unknown>>,
  today: LocalDate | undefined,
): string | undefined {
  const moves = device.moved ?? [];
  const last = moves.findLast(({ on }) => today === undefined || on <= today);
  const { tank, shares } = last ?? device;
  if (tank !== undefined) return Object.hasOwn(tanks, tank) ? tank : undefined;
  const [first, second] = Object.entries(shares ?? {})
    .filter(([id]) => Object.hasOwn(tanks, id))
    .sort(([, a], [, b]) => b - a);
  if (first === undefined || first[1] === second?.[1]) return undefined;
  return first[0];
}
