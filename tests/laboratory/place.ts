import type { Alert } from '../../src/alerts/index.ts';
import type { Config } from '../../src/config/index.ts';
import type { Fault } from '../../src/simulator/index.ts';

/** What a fault touches: the thing itself, and all that hangs in its tank or room. */
export interface Place {
  /** What the fault struck, as 'KIND/ID'. */
  readonly target: string;
  readonly tank: string | undefined;
  readonly rooms: readonly string[];
  /** 'KIND/ID' of all that may rightly be told of because of it. */
  readonly touched: ReadonlySet<string>;
}

export const subjectOf = ({ subject }: Pick<Alert, 'subject'>): string =>
  `${subject.kind}/${subject.id}`;

export function placeOf(fault: Fault, config: Config): Place {
  if ('device' in fault) {
    const tank = config.devices[fault.device]?.tank;
    return within(`device/${fault.device}`, tank, config);
  }
  if ('probe' in fault) {
    const { tank, room } = config.probes[fault.probe] ?? {};
    return tank === undefined
      ? inRooms(`probe/${fault.probe}`, room === undefined ? [] : [room], config)
      : within(`probe/${fault.probe}`, tank, config);
  }
  if ('plug' in fault) {
    const fed = Object.values(config.devices).find(({ plug }) => plug === fault.plug);
    return within(`plug/${fault.plug}`, fed?.tank, config);
  }
  if ('tank' in fault) return within(`tank/${fault.tank}`, fault.tank, config);
  const all = Object.keys(config.rooms);
  const rooms = 'room' in fault ? [fault.room] : 'rooms' in fault ? (fault.rooms ?? all) : all;
  return inRooms(`room/${rooms[0]}`, rooms, config);
}

function within(target: string, tank: string | undefined, config: Config): Place {
  const rooms = tank === undefined ? [] : [config.tanks[tank]?.room ?? ''];
  const things = [...rooms.map((room) => `room/${room}`), ...thingsIn(tank, config)];
  return { target, tank, rooms, touched: new Set([target, ...things]) };
}

function inRooms(target: string, rooms: readonly string[], config: Config): Place {
  const touched = new Set([target]);
  for (const room of rooms) touched.add(`room/${room}`);
  for (const [id, { room }] of Object.entries(config.tanks)) {
    if (rooms.includes(room)) for (const thing of thingsIn(id, config)) touched.add(thing);
  }
  for (const [id, { room }] of Object.entries(config.probes)) {
    if (room !== undefined && rooms.includes(room)) touched.add(`probe/${id}`);
  }
  // What belongs to no tank hangs in the first room.
  if (rooms.includes(Object.keys(config.rooms)[0] ?? '')) {
    for (const [id, { tank, plug }] of Object.entries(config.devices)) {
      if (tank !== undefined) continue;
      touched.add(`device/${id}`);
      if (plug !== undefined) touched.add(`plug/${plug}`);
    }
  }
  return { target, tank: undefined, rooms, touched };
}

function thingsIn(tank: string | undefined, config: Config): string[] {
  if (tank === undefined) return [];
  const devices = Object.entries(config.devices).filter(([, device]) => device.tank === tank);
  return [
    `tank/${tank}`,
    ...devices.map(([id]) => `device/${id}`),
    ...devices.flatMap(([, { plug }]) => (plug === undefined ? [] : [`plug/${plug}`])),
    ...Object.entries(config.probes)
      .filter(([, probe]) => probe.tank === tank)
      .map(([id]) => `probe/${id}`),
  ];
}
