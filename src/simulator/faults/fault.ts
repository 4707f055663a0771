import type { Instant } from '../../units/index.ts';

/** A span of trouble, [from, until); without an end it lasts until it is mended. */
export interface Spell {
  readonly from: Instant;
  readonly until?: Instant | undefined;
}

/** What can go wrong with one device, with no more to be said of it. */
type DeviceFault =
  /** A relay that is welded. */
  | 'stuck-on'
  /** An element that is open. */
  | 'dead-heater'
  /** A relay that flutters whenever its thermostat asks for heat, or nearly does. */
  | 'chattering-heater'
  /** It hangs out of the water: its heat goes to the room. */
  | 'dry-heater'
  /** A chiller whose set point has slipped below the heater's. */
  | 'fighting-chiller'
  /** A pump, filter or air pump that draws nothing. */
  | 'stopped-pump'
  | 'light-stays-on'
  | 'light-stays-off';

/** What can go wrong in the simulated house. */
export type Fault = Spell &
  (
    | { readonly kind: DeviceFault; readonly device: string }
    /** It draws this part of its usual power, and gives that much less. */
    | {
        readonly kind: 'weak-heater' | 'laboring-pump';
        readonly device: string;
        readonly part: number;
      }
    /** Its switching temperatures wander while the spell lasts, and stay there until mended. */
    | { readonly kind: 'drifting-heater'; readonly device: string; readonly kPerDay: number }
    /** It hangs in the room's air, or says its last value again and again, or nothing. */
    | {
        readonly kind: 'displaced-probe' | 'frozen-probe' | 'silent-probe';
        readonly probe: string;
      }
    | { readonly kind: 'plug-offline'; readonly plug: string }
    /** The tank loses so many times its heat. */
    | { readonly kind: 'lid-off'; readonly tank: string; readonly times: number }
    | { readonly kind: 'open-window'; readonly room: string }
    /** In these rooms, or everywhere: nothing draws, plugs are off the air, probes are not. */
    | { readonly kind: 'power-cut'; readonly rooms?: readonly string[] | undefined }
    /** Cold outdoors, and the room heaters have tripped: it ends with the night. */
    | { readonly kind: 'cold-night'; readonly until: Instant }
  );
