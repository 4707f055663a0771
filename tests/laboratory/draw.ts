import type { Config } from '../../src/config/index.ts';
import type { Chance, Fault } from '../../src/simulator/index.ts';
import { DAY, HOUR, type Instant, later } from '../../src/units/index.ts';
import { heatersOf } from './gear.ts';

type Kind = Fault['kind'];

const HEATER_KINDS = [
  'stuck-on',
  'dead-heater',
  'weak-heater',
  'drifting-heater',
  'chattering-heater',
  'dry-heater',
] as const satisfies readonly Kind[];

const between = (chance: Chance, least: number, most: number): number =>
  least + (most - least) * chance.next();

/** Everything that can strike a tank, each with how it is drawn. */
function ofTank(
  tank: string,
  config: Config,
  from: Instant,
  chance: Chance,
): Map<Kind, () => Fault> {
  const kinds = new Map<Kind, () => Fault>();
  const pick = (ids: readonly string[]): string => chance.pick(ids) as string;
  const own = (...wanted: string[]): string[] =>
    Object.entries(config.devices)
      .filter(([, { tank: of, kind }]) => of === tank && wanted.includes(kind))
      .map(([id]) => id);
  const heaters = heatersOf(tank, config).map(({ id }) => id);
  const pumps = own('filter', 'pump', 'air-pump');
  const lights = own('light');
  const chillers = own('chiller');
  const plugs = Object.values(config.devices).flatMap(({ tank: of, plug }) =>
    of === tank && plug !== undefined ? [plug] : [],
  );
  const probes = Object.keys(config.probes).filter((id) => config.probes[id]?.tank === tank);

  if (heaters.length > 0) {
    for (const kind of HEATER_KINDS) kinds.set(kind, () => ofHeater(kind, pick(heaters)));
    const times = between(chance, 1.3, 2);
    kinds.set('lid-off', () => ({ kind: 'lid-off', tank, times, from }));
  }
  if (chillers.length > 0) {
    kinds.set('fighting-chiller', () => ({
      kind: 'fighting-chiller',
      device: pick(chillers),
      from,
    }));
  }
  if (pumps.length > 0) {
    kinds.set('stopped-pump', () => ({ kind: 'stopped-pump', device: pick(pumps), from }));
    kinds.set('laboring-pump', () => ({
      kind: 'laboring-pump',
      device: pick(pumps),
      part: chance.next() < 0.5 ? between(chance, 0.6, 0.85) : between(chance, 1.15, 1.6),
      from,
    }));
  }
  if (lights.length > 0) {
    for (const kind of ['light-stays-on', 'light-stays-off'] as const) {
      kinds.set(kind, () => ({ kind, device: pick(lights), from }));
    }
  }
  for (const kind of ['displaced-probe', 'frozen-probe', 'silent-probe'] as const) {
    kinds.set(kind, () => ({ kind, probe: pick(probes), from }));
  }
  kinds.set('plug-offline', () => ({ kind: 'plug-offline', plug: pick(plugs), from }));

  function ofHeater(kind: (typeof HEATER_KINDS)[number], device: string): Fault {
    if (kind === 'weak-heater') return { kind, device, part: between(chance, 0.4, 0.8), from };
    if (kind !== 'drifting-heater') return { kind, device, from };
    const pace = between(chance, 0.05, 0.15);
    return { kind, device, kPerDay: chance.next() < 0.5 ? pace : -pace, from };
  }
  return kinds;
}

/** A month of drifting keeps a tank from everything else: it is drawn more rarely. */
const RARE: ReadonlySet<Kind> = new Set(['drifting-heater']);
const RARELY = 0.4;

/** One fault of a tank; undefined where nothing of `kinds` can strike it. */
export function drawTankFault(
  tank: string,
  config: Config,
  from: Instant,
  chance: Chance,
  kinds?: readonly Kind[],
): Fault | undefined {
  const possible = [...ofTank(tank, config, from, chance)].filter(
    ([kind]) =>
      (kinds === undefined || kinds.includes(kind)) && !(RARE.has(kind) && chance.next() > RARELY),
  );
  return chance.pick(possible)?.[1]();
}

/** One fault of a room; undefined where nothing of `kinds` can strike it. */
export function drawRoomFault(
  room: string,
  config: Config,
  from: Instant,
  chance: Chance,
  kinds?: readonly Kind[],
): Fault | undefined {
  const isFirst = Object.keys(config.rooms)[0] === room;
  const hasHeater = Object.values(config.devices).some(({ kind }) => kind === 'room-heater');
  const possible = (['open-window', 'power-cut', 'cold-night'] as const).filter(
    (kind) =>
      (kinds === undefined || kinds.includes(kind)) &&
      (kind !== 'cold-night' || (isFirst && hasHeater)),
  );
  switch (chance.pick(possible)) {
    case 'open-window':
      return { kind: 'open-window', room, from };
    case 'power-cut':
      return { kind: 'power-cut', rooms: [room], from };
    case 'cold-night':
      return { kind: 'cold-night', from, until: later(from, 12 * HOUR) };
    default:
      return undefined;
  }
}

export const calmDays = (chance: Chance, least: number, most: number): number =>
  Math.round(between(chance, least, most) * DAY);
