import type { LocalDate } from '../units/index.ts';
import type { GearChange } from './forget.ts';
import type { WatchedSite } from './plan.ts';
import { tankOf } from './served.ts';

/** What gear was when things were learned of it, by its id; plain JSON. */
export interface GearRecord {
  readonly devices: Readonly<Record<string, DeviceRecord>>;
  /** The tank or room that each probe is in. */
  readonly probes: Readonly<Record<string, string>>;
}

interface DeviceRecord {
  /** Kind, rated power and plug: one of them differs, and it is another device. */
  readonly made: string;
  readonly tank?: string | undefined;
}

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
  };
  return {
    devices: { ...before?.devices, ...now.devices },
    probes: { ...before?.probes, ...now.probes },
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
  const probes = Object.entries(after.probes).flatMap(([id, place]): GearChange[] =>
    Object.hasOwn(before.probes, id) && before.probes[id] !== place ? [{ kind: 'probe', id }] : [],
  );
  return [...devices, ...probes];
}
