import type { ProofOptions } from '../../alternatives/index.ts';
import type { Config } from '../../config/index.ts';
import { CodedError } from '../../units/index.ts';
import { probesOf } from '../climate-means.ts';
import type { Proofable } from '../proof-days.ts';

/** Whose use is held against the weather, and what of the weather moves it. */
export interface ProveTarget extends Proofable {
  readonly name: string;
  readonly weather: NonNullable<ProofOptions['weather']>;
  /** Where the air is measured; undefined where no probe tells it. */
  readonly air: string | undefined;
}

const HEATING = new Set(['heater', 'heat-mat', 'room-heater']);
const COOLING = new Set(['chiller', 'fan']);

/**
 * A tank: what heats it, by the air of its room. A device: itself, by the air around its tank; by no
 * weather where none moves it. The whole site: everything, by the air outdoors where that is
 * measured, else by that of its rooms.
 * @throws CodedError AMP_APP_PROVE when nothing is called so, or nothing heats there
 */
export function proveTarget(wanted: string | undefined, config: Config): ProveTarget {
  if (wanted === undefined) return wholeSite(config);
  const tank = Object.hasOwn(config.tanks, wanted) ? config.tanks[wanted] : undefined;
  if (tank !== undefined) {
    const devices = Object.keys(config.devices).filter((id) => {
      const device = config.devices[id];
      return device?.tank === wanted && HEATING.has(device.kind);
    });
    if (devices.length === 0) throw nothingHeats(wanted);
    return {
      name: `${tank.name ?? wanted}, its heating`,
      devices: new Set(devices),
      weather: { heating: 'searched' },
      ...airOf([tank.room], config),
    };
  }
  const device = Object.hasOwn(config.devices, wanted) ? config.devices[wanted] : undefined;
  if (device === undefined) throw unknown(wanted, config);
  const room = config.tanks[device.tank ?? '']?.room;
  return {
    name: device.name ?? wanted,
    devices: new Set([wanted]),
    weather: HEATING.has(device.kind)
      ? { heating: 'searched' }
      : COOLING.has(device.kind)
        ? { cooling: 'searched' }
        : {},
    ...airOf(room === undefined ? outdoorsOf(config) : [room], config),
  };
}

function wholeSite(config: Config): ProveTarget {
  const outdoors = airOf(outdoorsOf(config), config);
  return {
    name: config.site.name ?? config.site.id,
    devices: new Set(Object.keys(config.devices)),
    weather: { heating: 'searched' },
    ...(outdoors.air === undefined ? airOf(Object.keys(config.rooms), config) : outdoors),
  };
}

const outdoorsOf = ({ rooms }: Config): string[] =>
  Object.keys(rooms).filter((id) => rooms[id]?.outdoors === true);

function airOf(rooms: readonly string[], config: Config): Pick<ProveTarget, 'probes' | 'air'> {
  const { room: byRoom } = probesOf({ config });
  const measured = rooms.filter((id) => byRoom.has(id));
  const air = measured.map((id) => config.rooms[id]?.name ?? id).join(', ');
  return {
    probes: measured.flatMap((id) => byRoom.get(id) ?? []),
    air: measured.length === 0 ? undefined : air,
  };
}

const nothingHeats = (tank: string): CodedError =>
  new CodedError('AMP_APP_PROVE', `nothing heats the tank '${tank}' alone`, {
    remedy: 'name a device, or the whole site with --site',
  });

const unknown = (wanted: string, { tanks, devices }: Config): CodedError =>
  new CodedError('AMP_APP_PROVE', `there is no tank and no device '${wanted}'`, {
    remedy: `use one of ${[...Object.keys(tanks), ...Object.keys(devices)].join(', ')}`,
  });
