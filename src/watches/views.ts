import { type HeatPrior, hoursToLimit, type Thermostat } from '../heat/index.ts';
import { HOUR, type Instant, MINUTE, type Millis } from '../units/index.ts';
import { drewWithin, type Stretch } from './duty.ts';
import type { Evidence } from './finding.ts';
import type { HeaterSight } from './heater-sight.ts';
import type { PlannedTank, WatchPlan } from './plan.ts';
import {
  freshTemperature,
  middleTemperature,
  patienceOf,
  type Sights,
  type WatchedHeater,
  type WatchedProbe,
} from './sights.ts';
import { moved } from './trail.ts';

/** A tank as its watches see it at one moment. Temperatures in °C. */
export interface TankView {
  readonly keep: PlannedTank['keep'];
  readonly set: number | undefined;
  readonly prior: HeatPrior | undefined;
  readonly probes: number;
  /** What the probes say that are not silent. */
  readonly temperatures: readonly number[];
  /** Their median. */
  readonly middle: number | undefined;
  /** When the newest of them was measured. */
  readonly at: Instant | undefined;
  /** How far the water has moved within half an hour, K. */
  readonly change: number | undefined;
  /** How far within two hours, as far back as is remembered, K. */
  readonly longChange: number | undefined;
  /** When a probe last moved faster than water can. */
  readonly jumped: Instant | undefined;
  readonly room: number | undefined;
}

export const TREND_SPAN = (30 * MINUTE) as Millis;
export const LONG_SPAN = (2 * HOUR) as Millis;

/** Why a heater's plug tells nothing, or that it speaks. */
export type PlugVoice =
  | 'speaks'
  | 'no-plug'
  | 'plug-shared' // what else hangs on the plug cannot be told from it
  | 'no-power-seen'
  | 'plug-silent'
  | 'plug-gone';

/** A heater as its watches see it. Powers in W. */
export interface HeaterView {
  readonly voice: PlugVoice;
  readonly drawing: boolean | undefined;
  readonly since: Instant | undefined;
  readonly power: number | undefined;
  readonly powerAt: Instant | undefined;
  readonly onPower: number | undefined;
  readonly nameplate: number;
  readonly thermostat: Thermostat | undefined;
  /** Where the last switch-offs were, though too few to call learned, °C. */
  readonly highestSwitchOff: number | undefined;
  readonly runs: readonly Millis[];
  /** More of what its plug has shown. Alive: to be read, not kept. */
  readonly sight: Readonly<HeaterSight>;
}

/** How long it drew within a span up to now, ms; its last word stands while its plug speaks. */
export function drewOf({ voice, sight }: HeaterView, now: Instant, span: number): Stretch {
  const { powerAt: at, drawing } = sight;
  const stands = voice === 'speaks' && at !== undefined && drawing !== undefined;
  return drewWithin(sight.duty, now, span, stands ? { at, drawing } : undefined);
}

const probesOf = (sights: Sights, ids: readonly string[]): WatchedProbe[] =>
  ids.flatMap((id) => sights.probes.get(id) ?? []);

const newest = (times: readonly (Instant | undefined)[]): Instant | undefined =>
  times.reduce((last, at) => (at !== undefined && at > (last ?? 0) ? at : last), undefined);

export function roomTemperature(
  plan: WatchPlan,
  sights: Sights,
  room: string,
  now: Instant,
): number | undefined {
  return middleTemperature(plan, probesOf(sights, plan.rooms.get(room)?.probes ?? []), now);
}

/** How far the middle one of several probes has moved, K. */
function middleMove(
  fresh: readonly { readonly probe: WatchedProbe }[],
  now: Instant,
  span: Millis,
): number | undefined {
  const moves = fresh
    .map(({ probe }) => moved(probe.sight.trail, now, span))
    .filter((move) => move !== undefined)
    .sort((a, b) => a - b);
  return moves[moves.length >> 1];
}

export function viewTank(
  plan: WatchPlan,
  sights: Sights,
  tank: PlannedTank,
  room: number | undefined,
  now: Instant,
): TankView {
  const probes = probesOf(sights, tank.probes);
  const fresh = probes.flatMap((probe) => {
    const value = freshTemperature(plan, probe, now);
    return value === undefined ? [] : [{ probe, value }];
  });
  const values = fresh.map(({ value }) => value).sort((a, b) => a - b);
  const low = values[(values.length - 1) >> 1];
  const high = values[values.length >> 1];
  return {
    keep: tank.keep,
    set: tank.set,
    prior: tank.prior,
    probes: probes.length,
    temperatures: values,
    middle: low === undefined || high === undefined ? undefined : (low + high) / 2,
    at: newest(fresh.map(({ probe }) => probe.sight.temperatureAt)),
    change: middleMove(fresh, now, TREND_SPAN),
    longChange: middleMove(fresh, now, LONG_SPAN),
    jumped: newest(probes.map(({ sight }) => sight.jumped)),
    room,
  };
}

function voiceOf(plan: WatchPlan, sights: Sights, heater: WatchedHeater, now: Instant): PlugVoice {
  const plug = heater.plug === undefined ? undefined : sights.plugs.get(heater.plug);
  if (plug === undefined) return 'no-plug';
  if (!heater.plan.alone) return 'plug-shared';
  if (plug.sight.presence === 'gone') return 'plug-gone';
  if (heater.sight.powerAt === undefined || heater.sight.drawing === undefined) {
    return 'no-power-seen';
  }
  const patience = patienceOf(plan, plug, now);
  // A plug that reports on change and is known to be on the air stands by its last word.
  const standsByIt =
    plug.manner === 'on-change' && plug.sight.presence === 'on' && patience.from !== 'told';
  const silence = now - (plug.sight.heard ?? heater.sight.powerAt);
  return silence > patience.allowed && !standsByIt ? 'plug-silent' : 'speaks';
}

export function viewHeater(
  plan: WatchPlan,
  sights: Sights,
  heater: WatchedHeater,
  now: Instant,
): HeaterView {
  const { sight } = heater;
  const offs = sight.thermostat?.offs ?? [];
  return {
    voice: voiceOf(plan, sights, heater, now),
    drawing: sight.drawing,
    since: sight.since,
    power: sight.power,
    powerAt: sight.powerAt,
    onPower: sight.onPower,
    nameplate: heater.plan.nameplate,
    thermostat: sight.learned,
    highestSwitchOff: offs.length > 0 ? Math.max(...offs) : undefined,
    runs: sight.runs,
    sight,
  };
}

/** Time until the kept range is left at this heating, reckoned; undefined when never or unknown. */
export function timeToLimit(
  tank: TankView,
  side: 'above' | 'below',
  heatingW: number,
): Millis | undefined {
  if (tank.middle === undefined || tank.room === undefined || tank.prior === undefined) {
    return undefined;
  }
  const course = { tankC: tank.middle, roomC: tank.room, heatingW };
  const limit = side === 'above' ? tank.keep.max : tank.keep.min;
  const hours = hoursToLimit(tank.prior, course, limit, side);
  return hours === undefined ? undefined : (Math.round(hours * HOUR) as Millis);
}

/** Adds one piece of evidence, or none where the value is not known. */
export function note(
  proof: Evidence[],
  what: string,
  value: number | undefined,
  unit: Evidence['unit'],
  at?: Instant | undefined,
): void {
  if (value !== undefined && Number.isFinite(value)) proof.push({ what, value, unit, at });
}
