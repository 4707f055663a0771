import type { TankShape } from '../heat/index.ts';
import type { LocalDate } from '../units/index.ts';
import type { GearChange } from './forget.ts';
import type { WatchedSite } from './plan.ts';
import { tankOf } from './served.ts';

/** What gear was when things were learned of it, by its id; plain JSON. */
export interface GearRecord {
  readonly devices: Readonly<Record<string, DeviceRecord>>;
  /** The tank or room that each probe is in. */
  readonly probes: Readonly<Record<string, string>>;
  /** By tank, `shapeText`. */
  readonly tanks: Readonly<Record<string, string>>;
}

interface DeviceRecord {
  /** Kind, rated power and plug: one of them differs, and it is another device. */
  readonly made: string;
  readonly tank?: string | undefined;
}

/** What decides how a tank loses heat, as a text to compare. */
export const shapeText = (shape: TankShape): string =>
  JSON.stringify([
    shape.housing,
    shape.volume_l ?? null,
    shape.dimensions_cm ?? null,
    shape.walls,
    shape.lid,
  ]);

/**
 * The gear of a site on a local day.
 * @param before gear that the site no longer has stays on record: its id may come back as another
 */
export function recordGear(
  { devices, probes, tanks }: Pick<WatchedSite, 'devices' | 'probes' | 'tanks'>,
  today: LocalDate,
  before?: GearRecord,
): GearRecord {
  const now: GearRecord = {
    devices: Object.fromEntries(
      Object.entries(devices).map(([id, device]) => [
        id,
        {
          made: [device.kind, device.nameplate_w, device.plug].join(' '),
          tank: tankOf(device, tanks, today),
        },
      ]),
    ),
    probes: Object.fromEntries(
      Object.entries(probes).map(([id, { tank, room }]) => [
        id,
        tank === undefined ? `room ${room}` : `tank ${tank}`,
      ]),
    ),
    tanks: Object.fromEntries(Object.entries(tanks).map(([id, tank]) => [id, shapeText(tank)])),
  };
  return {
    devices: { ...before?.devices, ...now.devices },
    probes: { ...before?.probes, ...now.probes },
    tanks: { ...before?.tanks, ...now.tanks },
  };
}

/** What has changed; gear that was not on record yet is no change. */
export function gearChanges(before: GearRecord, after: GearRecord): GearChange[] {
  const devices = Object.entries(after.devices).flatMap(([id, { made, tank }]): GearChange[] => {
    const was = Object.hasOwn(before.devices, id) ? before.devices[id] : undefined;
    if (was === undefined) return [];
    if (was.made !== made) return [{ kind: 'device', id, change: 'replaced' }];
    return was.tank === tank ? [] : [{ kind: 'device', id, change: 'moved' }];
  });
  const changed = (was: Readonly<Record<string, string>>, is: typeof was): string[] =>
    Object.keys(is).filter((id) => Object.hasOwn(was, id) && was[id] !== is[id]);
  return [
    ...devices,
    ...changed(before.probes, after.probes).map((id) => ({ kind: 'probe' as const, id })),
    ...changed(before.tanks, after.tanks).map((id) => ({ kind: 'tank' as const, id })),
  ];
}
