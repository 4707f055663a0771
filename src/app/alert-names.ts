import type { Names } from '../alerts/index.ts';
import type { Config } from '../config/index.ts';
import type { Subject } from '../watches/index.ts';

/** What the config calls the things that alerts are about, and where they are. */
export function alertNames({ tanks, rooms, devices, plugs, probes }: Config): Names {
  const deviceOn = (plug: string): [string, Config['devices'][string]] | undefined =>
    Object.entries(devices).find(([, device]) => device.plug === plug);
  const tank = (id: string | undefined): Subject | undefined =>
    id !== undefined && Object.hasOwn(tanks, id) ? { kind: 'tank', id } : undefined;
  const room = (id: string | undefined): Subject | undefined =>
    id === undefined ? undefined : { kind: 'room', id };

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
          const fed = deviceOn(id);
          const own = plugs[id]?.name ?? id;
          return fed === undefined ? own : `${own}, on it ${fed[1].name ?? fed[0]}`;
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
          return tank(devices[id]?.tank);
        case 'probe':
          return tank(probes[id]?.tank) ?? room(probes[id]?.room);
        case 'plug':
          return tank(deviceOn(id)?.[1].tank);
      }
    },
    isDry: ({ id }) => tanks[id]?.housing === 'terrarium' || tanks[id]?.housing === 'vivarium',
  };
}
