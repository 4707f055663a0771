/** What the simulated house holds. Ids are the config's, so that its feeds describe the messages. */
export interface HouseSpec {
  readonly zone: string;
  readonly rooms: readonly { readonly id: string; readonly outdoors: boolean }[];
  readonly tanks: readonly TankSpec[];
  readonly devices: readonly DeviceSpec[];
  readonly probes: readonly ProbeSpec[];
  readonly plugs: readonly PlugSpec[];
}

export interface TankSpec {
  readonly id: string;
  readonly room: string;
  readonly waterLiters: number;
  /** Outer surface that loses heat, m², and how well its walls let heat through, W/(m²·K). */
  readonly surface: number;
  readonly wallU: number;
  /** Keeps in warmth and vapor. */
  readonly lid: boolean;
  /** Water that evaporates freely, m²: under a lid only what it leaves open. */
  readonly openWater: number;
  readonly set: number | undefined;
}

export interface DeviceSpec {
  readonly id: string;
  readonly kind: string;
  readonly watts: number;
  /** Tank whose water takes its heat, or the room that does. */
  readonly tank: string | undefined;
  readonly room: string;
  readonly plug: string | undefined;
  /** The part of its power that ends in the water; by default as usual for its kind. */
  readonly intoWater?: number | undefined;
  /** Minutes of the local day, [from, to); empty for always. */
  readonly schedule: readonly { readonly from: number; readonly to: number }[];
}

export interface ProbeSpec {
  readonly id: string;
  readonly tank: string | undefined;
  readonly room: string | undefined;
}

export interface PlugSpec {
  readonly id: string;
  readonly reporting: 'on-change' | 'interval';
  /** The counter is lost when the power goes. */
  readonly forgetful: boolean;
  readonly wrapsAtWh: number | undefined;
}
