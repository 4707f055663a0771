import type { Instant } from '../units/index.ts';
import { type AirStoppedState, forgetAir } from './air-stopped.ts';
import type { WatchName } from './finding.ts';
import { createGaps } from './gaps.ts';
import { createHeaterSight } from './heater-sight.ts';
import { forgetPump, type PumpStoppedState } from './pump-stopped.ts';
import type { Sights, WatchedHeater } from './sights.ts';
import { createStills, longestStill } from './stills.ts';
import { unlearnedPower } from './usual-power.ts';

/** What is learned of gear, and no longer true of what takes its place. */
export type Learned =
  | 'on-power' // what a heater or chiller draws when it works
  | 'switch-temperatures' // where its thermostat switches, as the tank's probes see it
  | 'usual-power' // what a pump or an air pump draws
  | 'stillness' // how long a probe says the very same value
  | 'usual-silence'; // how long a probe says nothing

export interface Forgotten {
  /** The device or probe. */
  readonly of: string;
  readonly what: Learned;
  /** When learning it began; undefined where that was not noted. */
  readonly since: Instant | undefined;
}

export interface Forgetting {
  readonly forgotten: readonly Forgotten[];
  /** States of watches that take the place of others; undefined, and none is left. */
  readonly states: ReadonlyMap<string, object | undefined>;
  /** Watches that know nothing any more, and of what: an alert of theirs is over. */
  readonly blind: readonly { readonly watch: WatchName; readonly id: string }[];
}

/**
 * Gear of which what was learned no longer holds. A probe that was moved counts as replaced; a tank
 * is another with another lid. How a tank loses heat is not kept here, only what is made of it.
 */
export type GearChange =
  | { readonly kind: 'device'; readonly id: string; readonly change: DeviceChange }
  | { readonly kind: 'probe' | 'tank'; readonly id: string };

/** New gear in its place; or the same gear at another tank, where only its on-power is as it was. */
type DeviceChange = 'replaced' | 'moved';

/** Watches that know nothing without it. */
const RESTING_ON: Readonly<Record<Learned, readonly WatchName[]>> = {
  'on-power': ['heater-weak'],
  'switch-temperatures': ['heater-drifting'],
  'usual-power': ['pump-laboring', 'air-stopped'],
  stillness: [],
  'usual-silence': [],
};

/**
 * Forgets what was learned of a device or probe, to learn it anew.
 * @param states of the watches, by key
 */
export function forgetGear(
  sights: Sights,
  states: ReadonlyMap<string, unknown>,
  change: GearChange,
): Forgetting {
  const { kind, id } = change;
  if (kind === 'device') return forgetDevice(sights, states, id, change.change);
  const forgotten = kind === 'probe' ? forgetProbe(sights, id) : [];
  const ofTank = kind === 'tank' ? [{ watch: 'duty-unexplained', id } as const] : [];
  return { forgotten, states: new Map(), blind: [...ofTank, ...blindWithout(forgotten)] };
}

const blindWithout = (forgotten: readonly Forgotten[]): Forgetting['blind'] =>
  forgotten.flatMap(({ of, what }) => RESTING_ON[what].map((watch) => ({ watch, id: of })));

/**
 * What its plug says now stays, and so does how long the plug is usually silent: a plug whose
 * silences are unknown is believed a day of it.
 */
function forgetDevice(
  sights: Sights,
  states: ReadonlyMap<string, unknown>,
  id: string,
  change: DeviceChange,
): Forgetting {
  const heater = sights.heaters.get(id);
  const ofHeater = heater === undefined ? [] : forgetHeater(sights, heater, change);
  const after = new Map<string, object | undefined>();
  const pump = states.get(`pump-stopped:${id}`) as PumpStoppedState | undefined;
  if (pump !== undefined && pump.usual !== unlearnedPower) {
    after.set(`pump-stopped:${id}`, forgetPump(pump));
  }
  const air = states.get(`air-stopped:${id}`) as AirStoppedState | undefined;
  if (air !== undefined) after.set(`air-stopped:${id}`, forgetAir());
  if (states.has(`pump-laboring:${id}`)) after.set(`pump-laboring:${id}`, undefined);
  const usual = [pump?.usual, air?.usual].filter((it) => it !== undefined && it.slices.length > 0);
  const forgotten = [
    ...ofHeater,
    ...usual.map((it) => ({ of: id, what: 'usual-power' as const, since: it?.since })),
  ];
  return { forgotten, states: after, blind: blindWithout(forgotten) };
}

/**
 * How long it is usually silent or stands still, and where the thermostats of its tank switch:
 * another probe, or another place, reads other temperatures.
 */
function forgetProbe(sights: Sights, id: string): Forgotten[] {
  const probe = sights.probes.get(id);
  if (probe === undefined) return [];
  const { stills, gaps } = probe.sight;
  const forgotten: Forgotten[] = [];
  if (longestStill(stills) !== undefined) {
    forgotten.push({ of: id, what: 'stillness', since: stills.began });
  }
  if (gaps.since !== undefined) {
    forgotten.push({ of: id, what: 'usual-silence', since: gaps.since });
  }
  probe.sight = { ...probe.sight, stills: createStills(), gaps: createGaps(), unsaved: true };
  const { tank } = probe.plan;
  if (tank === undefined) return forgotten;
  const heaters = [...sights.heaters.values()].filter(({ plan }) => plan.tank === tank);
  return [...forgotten, ...heaters.flatMap((heater) => forgetHeater(sights, heater, 'moved'))];
}

function forgetHeater(sights: Sights, heater: WatchedHeater, change: DeviceChange): Forgotten[] {
  const { id, drawing, since, power, powerAt, duty, ...learned } = heater.sight;
  const { onPower, strength, thermostat, switchOffs } = learned;
  const forgotten: Forgotten[] = [];
  if (change === 'replaced' && onPower !== undefined) {
    forgotten.push({ of: id, what: 'on-power', since: strength?.since });
  }
  if (thermostat !== undefined || switchOffs.length > 0) {
    forgotten.push({ of: id, what: 'switch-temperatures', since: thermostat?.since });
  }
  const fresh = { ...createHeaterSight(id), drawing, since, power, powerAt, duty };
  heater.sight =
    change === 'replaced'
      ? fresh
      : {
          ...heater.sight,
          thermostat: fresh.thermostat,
          learned: fresh.learned,
          switchOffs: fresh.switchOffs,
        };
  const plug = heater.plug === undefined ? undefined : sights.plugs.get(heater.plug);
  // A heater is saved with its plug.
  if (plug !== undefined) plug.sight.unsaved = true;
  return forgotten;
}
