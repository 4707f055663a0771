import { CodedError, HOUR, type Instant, later } from '../units/index.ts';
import type { Chance } from './chance.ts';
import type { HouseSpec } from './spec.ts';
import { tankHeat } from './tank-heat.ts';

/** A span of trouble; without an end it lasts. */
interface Spell {
  readonly from: Instant;
  readonly until?: Instant | undefined;
}

/** What can go wrong in the simulated house. */
export type Fault =
  | (Spell & { readonly kind: 'stuck-on' | 'dead-heater'; readonly device: string })
  | (Spell & { readonly kind: 'plug-offline'; readonly plug: string })
  | { readonly kind: 'cold-night'; readonly from: Instant; readonly until: Instant };

export const FAULT_KINDS = ['stuck-on', 'dead-heater', 'cold-night', 'plug-offline'] as const;

/** A cold night ends in the morning; what broke stays broken until somebody sees to it. */
const NIGHT = 12 * HOUR;

export const isOn = ({ from, until }: Spell, at: Instant): boolean =>
  at >= from && !(until !== undefined && at >= until);

/**
 * Reads a fault as written on the command line: 'stuck-on', 'stuck-on:DEVICE', 'cold-night' …
 * Without a target one is picked by chance, among those that will show.
 * @throws CodedError AMP_DEMO_FAULT when it is no fault or no such target.
 */
export function parseFault(text: string, spec: HouseSpec, chance: Chance, from: Instant): Fault {
  const [kind, target] = splitOnce(text);
  switch (kind) {
    case 'stuck-on':
    case 'dead-heater': {
      const telling = tellingHeaters(spec);
      const device =
        target === undefined && telling.length > 0
          ? (chance.pick(telling) as string)
          : choose(text, target, tankHeaters(spec), chance);
      return { kind, device, from };
    }
    case 'plug-offline':
      return { kind, plug: choose(text, target, heaterPlugs(spec), chance), from };
    case 'cold-night':
      if (target !== undefined) {
        throw new CodedError('AMP_DEMO_FAULT', `'${text}' names a target, but a night has none`, {
          remedy: "write 'cold-night'",
        });
      }
      return { kind, from, until: later(from, NIGHT) };
    default:
      throw new CodedError('AMP_DEMO_FAULT', `there is no fault '${text}'`, {
        remedy: `use one of ${FAULT_KINDS.join(', ')}; all but cold-night may name a device or plug, as in stuck-on:ID`,
      });
  }
}

function splitOnce(text: string): [string, string | undefined] {
  const colon = text.indexOf(':');
  return colon < 0 ? [text, undefined] : [text.slice(0, colon), text.slice(colon + 1)];
}

const tankHeaters = (spec: HouseSpec): string[] =>
  spec.devices
    .filter(({ kind, tank, plug }) => kind === 'heater' && tank !== undefined && plug !== undefined)
    .map(({ id }) => id);

const heaterPlugs = (spec: HouseSpec): string[] =>
  spec.devices.flatMap(({ kind, plug }) => (kind === 'heater' && plug !== undefined ? [plug] : []));

/** A room that is neither cold nor warm, °C. */
const USUAL_ROOM = 19.5;
/** So much warmer than its set point must a stuck heater be able to make a tank, K. */
const SHOWS = 2;

/**
 * Heaters whose failing shows within hours: alone in an indoor tank, needed, and strong enough to
 * overheat it. Where two share the work, the other one makes up for most of it.
 */
export function tellingHeaters(spec: HouseSpec): string[] {
  const outdoors = new Set(spec.rooms.filter((room) => room.outdoors).map(({ id }) => id));
  const heaters = new Set(tankHeaters(spec));
  return spec.devices
    .filter((device) => {
      const tank = spec.tanks.find(({ id }) => id === device.tank);
      if (!heaters.has(device.id) || tank?.set === undefined || outdoors.has(tank.room)) {
        return false;
      }
      const alone = spec.devices.every(
        ({ id, kind, tank: other }) => id === device.id || kind !== 'heater' || other !== tank.id,
      );
      const above = device.watts / tankHeat(tank).conductance;
      return alone && tank.set > USUAL_ROOM + SHOWS && USUAL_ROOM + above > tank.set + SHOWS;
    })
    .map(({ id }) => id);
}

function choose(
  text: string,
  target: string | undefined,
  allowed: readonly string[],
  chance: Chance,
): string {
  const chosen = target ?? chance.pick(allowed);
  if (chosen === undefined || !allowed.includes(chosen)) {
    throw new CodedError('AMP_DEMO_FAULT', `'${text}' names nothing that can fail this way`, {
      remedy:
        allowed.length === 0
          ? 'this house has nothing that can'
          : `use one of ${allowed.join(', ')}`,
    });
  }
  return chosen;
}
