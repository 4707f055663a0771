import { Calendar, type LocalDate, type WallWindow, wallWindows } from '../units/index.ts';
import type { WatchesConfig } from './config.ts';
import { inUse, type ServingDevice, tankOf } from './served.ts';
import { type Fits, thresholdsFor } from './thresholds.ts';

/** The part of the configuration that the watches of pumps, lights, air and mats need. */
export interface GearSite {
  readonly site?: { readonly time_zone: string };
  readonly tanks: Readonly<
    Record<string, { readonly room: string; readonly housing?: Fits['housing'] }>
  >;
  readonly plugs: Readonly<Record<string, unknown>>;
  readonly devices: Readonly<
    Record<
      string,
      ServingDevice & {
        readonly kind: string;
        readonly nameplate_w: number;
        readonly plug?: string | undefined;
        readonly schedule?: readonly { readonly from: string; readonly to: string }[] | undefined;
      }
    >
  >;
  readonly watches: WatchesConfig;
}

export type GearDuty = 'pump' | 'air' | 'light' | 'mat';

export interface PlannedGear {
  readonly id: string;
  /** The thresholds that hold for it. */
  readonly config: WatchesConfig;
  readonly duty: GearDuty;
  /** The tank it serves, where it is one. */
  readonly tank: string | undefined;
  readonly room: string | undefined;
  readonly plug: string | undefined;
  /** False where other devices hang on its plug. */
  readonly alone: boolean;
  /** W. */
  readonly nameplate: number;
  /** When it is on by the wall clock; undefined where no schedule is told. */
  readonly hours: readonly WallWindow[] | undefined;
}

export interface GearPlan {
  readonly gear: readonly PlannedGear[];
  /** What moves a tank's water, by tank: its pumps and air pumps. */
  readonly movers: ReadonlyMap<string, readonly PlannedGear[]>;
  /** Undefined where the site's time zone is not told: then no schedule can be looked at. */
  readonly calendar: Calendar | undefined;
}

const DUTIES: Readonly<Record<string, GearDuty>> = {
  filter: 'pump',
  pump: 'pump',
  'air-pump': 'air',
  light: 'light',
  'heat-mat': 'mat',
};

/** Works out what gear is watched; devices no longer in use are left out. */
export function planGear(site: GearSite, today?: LocalDate): GearPlan {
  const used = Object.entries(site.devices).filter(([, device]) => inUse(device, today));
  const onPlug = new Map<string, number>();
  for (const [, { plug }] of used) {
    if (plug !== undefined) onPlug.set(plug, (onPlug.get(plug) ?? 0) + 1);
  }
  const gear = used.flatMap(([id, device]): PlannedGear[] => {
    const duty = Object.hasOwn(DUTIES, device.kind) ? DUTIES[device.kind] : undefined;
    if (duty === undefined) return [];
    const tank = tankOf(device, site.tanks, today);
    const { housing, room } = site.tanks[tank ?? ''] ?? {};
    const plug =
      device.plug !== undefined && Object.hasOwn(site.plugs, device.plug) ? device.plug : undefined;
    return [
      {
        id,
        config: thresholdsFor(site.watches, { housing, room, tank, device: id }),
        duty,
        tank,
        room,
        plug,
        alone: plug === undefined || onPlug.get(plug) === 1,
        nameplate: device.nameplate_w,
        hours: device.schedule?.flatMap(({ from, to }) => wallWindows(from, to)),
      },
    ];
  });
  const movers = new Map<string, PlannedGear[]>();
  for (const it of gear) {
    if (it.tank === undefined || (it.duty !== 'pump' && it.duty !== 'air')) continue;
    const inTank = movers.get(it.tank);
    if (inTank === undefined) movers.set(it.tank, [it]);
    else inTank.push(it);
  }
  const zone = site.site?.time_zone;
  return { gear, movers, calendar: zone === undefined ? undefined : new Calendar(zone) };
}
