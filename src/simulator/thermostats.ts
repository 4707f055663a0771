import type { Instant } from '../units/index.ts';
import { type DeviceAilment, drifted } from './faults/ailments.ts';
import type { DeviceSpec, HouseSpec } from './spec.ts';

/** Widths of thermostats' bands, K: bimetal in the water, electronic at the chiller. */
const BAND = 0.5;
const CHILLER_BAND = 0.8;
const ROOM = { set: 19.2, band: 0.8 } as const;
/** A chiller beside a heater is set so much above it, K, that neither works against the other. */
const CHILLER_ABOVE = 0.8;
/** … and so much below it once its set point has slipped. */
const CHILLER_SLIPPED = -0.3;

/** What switches a device by temperature. */
export interface Thermostat {
  readonly cools: boolean;
  readonly band: number;
  /** The middle of its band now, °C. */
  middle(at: Instant): number;
}

/**
 * The thermostat of a device, or undefined when it has none, or nothing that it could keep.
 * `shift`: how far it is off its mark, K.
 */
export function thermostatOf(
  device: DeviceSpec,
  ailment: DeviceAilment,
  { tanks, devices }: HouseSpec,
  shift: number,
): Thermostat | undefined {
  if (device.kind === 'room-heater') {
    return { cools: false, band: ROOM.band, middle: () => ROOM.set };
  }
  const set = tanks.find(({ id }) => id === device.tank)?.set;
  if (set === undefined) return undefined;
  if (device.kind === 'chiller') {
    const heated = devices.some(({ kind, tank }) => kind === 'heater' && tank === device.tank);
    const usual = set + (heated ? CHILLER_ABOVE : 0);
    const slipped = set + CHILLER_SLIPPED;
    const middle = (): number => (ailment.setSlipped ? slipped : usual);
    return { cools: true, band: CHILLER_BAND, middle };
  }
  if (device.kind !== 'heater' && device.kind !== 'heat-mat') return undefined;
  const marked = set + shift;
  const middle = (at: Instant): number =>
    ailment.drifts.length === 0 ? marked : marked + drifted(ailment, at);
  return { cools: false, band: BAND, middle };
}

/** On below the band, off above it, and as before within it; the other way round where it cools. */
export function calls(
  { cools, band }: Thermostat,
  middle: number,
  value: number,
  on: boolean,
): boolean {
  if (value <= middle - band / 2) return !cools;
  return value >= middle + band / 2 ? cools : on;
}

/** Where it switches off, °C. */
export const switchesOffAt = ({ cools, band, middle }: Thermostat, at: Instant): number =>
  middle(at) + (cools ? -band / 2 : band / 2);
