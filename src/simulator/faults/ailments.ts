import { DAY, type Instant } from '../../units/index.ts';
import type { Spell } from './fault.ts';

/** What ails one device now. */
export interface DeviceAilment {
  /** On or off whatever its thermostat or timer says. */
  forced: boolean | undefined;
  /** It draws this part of its usual power. */
  part: number;
  flutters: boolean;
  outOfWater: boolean;
  setSlipped: boolean;
  powerless: boolean;
  drifts: readonly Drift[];
}

/** How a set point wanders: over a spell, after which it stays where it has come to. */
export interface Drift extends Spell {
  readonly kPerDay: number;
}

export interface TankAilment {
  /** It loses so many times its heat. */
  lossTimes: number;
}

export interface RoomAilment {
  windowOpen: boolean;
}

export interface ProbeAilment {
  /** Since when it hangs in the room's air. */
  displacedSince: Instant | undefined;
  frozen: boolean;
  silent: boolean;
}

export interface PlugAilment {
  offAir: boolean;
  powerless: boolean;
}

export const WELL = {
  device: (): DeviceAilment => ({
    forced: undefined,
    part: 1,
    flutters: false,
    outOfWater: false,
    setSlipped: false,
    powerless: false,
    drifts: [],
  }),
  tank: (): TankAilment => ({ lossTimes: 1 }),
  room: (): RoomAilment => ({ windowOpen: false }),
  probe: (): ProbeAilment => ({ displacedSince: undefined, frozen: false, silent: false }),
  plug: (): PlugAilment => ({ offAir: false, powerless: false }),
} as const;

/** How far a set point has wandered, K. */
export function drifted({ drifts }: DeviceAilment, at: Instant): number {
  let sum = 0;
  for (const { from, until, kPerDay } of drifts) {
    const end = until !== undefined && at > until ? until : at;
    sum += (kPerDay * (end - from)) / DAY;
  }
  return sum;
}
