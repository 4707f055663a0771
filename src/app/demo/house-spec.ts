import type { Config } from '../../config/index.ts';
import type { DeviceSpec, HouseSpec, TankSpec } from '../../simulator/index.ts';

/** How well walls let heat through, W/(m²·K): the simulated truth, chosen for the demo. */
const WALL_U = { glass: 6.2, acrylic: 5.2, insulated: 4 } as const;
/** Air in a terrarium holds heat badly, and its walls have air on both sides. */
const DRY_WALL_U = 1.2;
/** Of the water under a lid, what its cut-outs leave open. */
const LID_OPEN = 0.1;

/** The simulated counterpart of what a config describes. */
export function houseSpec(config: Config): HouseSpec {
  return {
    zone: config.site.time_zone,
    rooms: Object.entries(config.rooms).map(([id, { outdoors }]) => ({ id, outdoors })),
    tanks: Object.entries(config.tanks).map(([id, tank]) => tankSpec(id, tank)),
    devices: Object.entries(config.devices).map(([id, device]) => deviceSpec(id, device, config)),
    probes: Object.entries(config.probes).map(([id, probe]) => ({
      id,
      tank: probe.tank,
      room: probe.room,
    })),
    plugs: Object.entries(config.plugs).map(([id, plug]) => ({
      id,
      reporting: plug.reporting,
      forgetful: plug.counter_restarts === 'at-power-on',
      wrapsAtWh: plug.counter_wraps_at_wh,
    })),
  };
}

function tankSpec(id: string, tank: Config['tanks'][string]): TankSpec {
  const size = tank.dimensions_cm ?? cubeOf(tank.volume_l ?? 50);
  const [length, width, height] = [size.length / 100, size.width / 100, size.height / 100];
  const dry = tank.housing === 'terrarium' || tank.housing === 'vivarium';
  const walls = 2 * (length + width) * height;
  const base = length * width;
  return {
    id,
    room: tank.room,
    waterLiters: tank.volume_l ?? (dry ? 2 : length * width * height * 900),
    surface: walls + (tank.lid ? 1.3 : 0.6) * base,
    wallU: dry ? DRY_WALL_U : WALL_U[tank.walls],
    lid: tank.lid,
    openWater: dry ? 0 : tank.lid ? LID_OPEN * base : base,
    set: tank.set_c,
  };
}

const cubeOf = (liters: number): { length: number; width: number; height: number } => {
  const side = Math.cbrt(liters * 1000);
  return { length: side, width: side, height: side };
};

function deviceSpec(id: string, device: Config['devices'][string], config: Config): DeviceSpec {
  const served = device.tank ?? [...Object.keys(device.shares ?? {}), ...among(device)][0];
  const tank = served !== undefined && served !== 'upkeep' ? config.tanks[served] : undefined;
  const firstRoom = Object.keys(config.rooms)[0] ?? 'room';
  return {
    id,
    kind: device.kind,
    watts: device.nameplate_w,
    // What serves several tanks, or none, warms the room.
    tank: device.tank !== undefined && tank !== undefined ? device.tank : undefined,
    room: tank?.room ?? firstRoom,
    plug: device.plug,
    intoWater: device.heat_into_water,
    schedule: (device.schedule ?? []).map(({ from, to }) => ({
      from: minuteOf(from),
      to: minuteOf(to),
    })),
  };
}

function among({ divided }: Config['devices'][string]): readonly string[] {
  if (divided === undefined) return [];
  return 'among' in divided ? divided.among : Object.keys(divided.outlets);
}

function minuteOf(time: string): number {
  const [hours, minutes] = time.split(':').map(Number);
  return (hours ?? 0) * 60 + (minutes ?? 0);
}
