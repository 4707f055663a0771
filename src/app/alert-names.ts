import type { Names } from '../alerts/index.ts';
import type { Config } from '../config/index.ts';
import type { LocalDate } from '../units/index.ts';
import { inUse, type Subject } from '../watches/index.ts';

/**
 * What the config calls the things that alerts are about, and where they are.
 * @param today without it, on a day after all that the devices name
 */
export function alertNames(
  { tanks, rooms, devices, plugs, probes }: Config,
  today?: LocalDate,
): Names {
  const devicesOn = (plug: string): string[] =>
    Object.keys(devices).filter((id) => devices[id]?.plug === plug && inUse(devices[id], today));
  const tank = (id: string | undefined): Subject | undefined =>
    id !== undefined && Object.hasOwn(tanks, id) ? { kind: 'tank', id } : undefined;
  const room = (id: string | undefined): Subject | undefined =>
    id === undefined ? undefined : { kind: 'room', id };
  const servedBy = (id: string): Subject | undefined => {
    const device = Object.hasOwn(devices, id) ? devices[id] : undefined;
    const moved = device?.moved?.findLast(({ on }) => today === undefined || on <= today);
    return tank((moved ?? device)?.tank);
  };

  return {
    name({ kind, id }) {
      switch (kind) {
        case 'tank':
          return tanks[id]?.name;
        case 'room':
          return rooms[id]?.name;
        case 'device':
          return devices[id]?.name;
        case 'probe':
          return probes[id]?.name;
        case 'plug': {
          const own = plugs[id]?.name ?? id;
          const fed = devicesOn(id).map((device) => devices[device]?.name ?? device);
          return fed.length === 0 ? own : `${own}, on it ${inWords(fed)}`;
        }
      }
    },
    place({ kind, id }) {
      switch (kind) {
        case 'tank':
          return room(tanks[id]?.room);
        case 'room':
          return undefined;
        case 'device':
          return servedBy(id);
        case 'probe':
          return tank(probes[id]?.tank) ?? room(probes[id]?.room);
        case 'plug': {
          const [first, ...others] = devicesOn(id).map(servedBy);
          return others.every((other) => other?.id === first?.id) ? first : undefined;
        }
      }
    },
    isDry: ({ id }) => tanks[id]?.housing === 'terrarium' || tanks[id]?.housing === 'vivarium',
  };
}

/** 'a', 'a and b', 'a, b and c'. */
function inWords(names: readonly string[]): string {
  const last = names.at(-1) ?? '';
  return names.length < 2 ? last : `${names.slice(0, -1).join(', ')} and ${last}`;
}
