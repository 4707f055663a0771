import type { HeatFit, Thermostat } from '../heat/index.ts';
import { HOUR, type Instant, MINUTE, type Millis, median } from '../units/index.ts';
import { drewWithin, type Stretch } from './duty.ts';
import type { Evidence, Subject } from './finding.ts';
import type { HeaterSight } from './heater-sight.ts';
import { medianOf } from './median.ts';
import type { PlannedTank, WatchPlan } from './plan.ts';
import { type PlugVoice, voiceOf } from './plug-voice.ts';
import {
  freshTemperature,
  middleTemperature,
  type Sights,
  type WatchedHeater,
  type WatchedProbe,
} from './sights.ts';
import { learnedHeat, type TankHeat } from './tank-heat.ts';
import { meanOn, moved } from './trail.ts';

export type { PlugVoice } from './plug-voice.ts';

/** A tank as its watches see it at one moment. Temperatures in °C. */
export interface TankView extends TankHeat {
  readonly set: number | undefined;
  readonly probes: number;
  /** What the probes say that are not silent; `middle` is their median. */
  readonly temperatures: readonly number[];
  /** When the newest of them was measured. */
  readonly at: Instant | undefined;
  /** How far the water has moved within half an hour, K. */
  readonly change: number | undefined;
  /** How far within two hours, as far back as is remembered, K. */
  readonly longChange: number | undefined;
  /** The air around it on average over two hours, °C. */
  readonly roomLately: number | undefined;
  /** When a probe last moved faster than water can. */
  readonly jumped: Instant | undefined;
}

export const TREND_SPAN = (30 * MINUTE) as Millis;
export const LONG_SPAN = (2 * HOUR) as Millis;

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
  return middleTemperature(probesOf(sights, plan.rooms.get(room)?.probes ?? []), now);
}

/** The middle one of what each of its probes has shown on average over `LONG_SPAN`, °C. */
export function roomLately(
  plan: WatchPlan,
  sights: Sights,
  room: string,
  now: Instant,
): number | undefined {
  const probes = probesOf(sights, plan.rooms.get(room)?.probes ?? []);
  return medianOf(probes.flatMap(({ sight }) => meanOn(sight.trail, now, LONG_SPAN) ?? []));
}

/** How far the middle one of several probes has moved, K. */
function middleMove(
  fresh: readonly { readonly probe: WatchedProbe }[],
  now: Instant,
  span: Millis,
): number | undefined {
  return medianOf(fresh.flatMap(({ probe }) => moved(probe.sight.trail, now, span) ?? []));
}

/** What is known of a tank beside its own probes. */
export interface TankSurroundings {
  /** The air now, °C. */
  readonly room: number | undefined;
  /** The air on average over `LONG_SPAN`, °C. */
  readonly lately: number | undefined;
  readonly fit: HeatFit | undefined;
}

export function viewTank(
  sights: Sights,
  tank: PlannedTank,
  { room, lately, fit }: TankSurroundings,
  now: Instant,
): TankView {
  const probes = probesOf(sights, tank.probes);
  const fresh = probes.flatMap((probe) => {
    const value = freshTemperature(probe, now);
    return value === undefined ? [] : [{ probe, value }];
  });
  const values = fresh.map(({ value }) => value).sort((a, b) => a - b);
  return {
    keep: tank.keep,
    set: tank.set,
    prior: tank.prior,
    learned: learnedHeat(sights, tank, fit, now),
    probes: probes.length,
    temperatures: values,
    middle: values.length === 0 ? undefined : median(values),
    at: newest(fresh.map(({ probe }) => probe.sight.temperatureAt)),
    change: middleMove(fresh, now, TREND_SPAN),
    longChange: middleMove(fresh, now, LONG_SPAN),
    jumped: newest(probes.map(({ sight }) => sight.jumped)),
    room,
    roomLately: lately,
  };
}

/** Its plug may speak, and yet nothing be known of the heater: what it draws lies between on and off. */
function voiceOfHeater(
  sights: Sights,
  { plan: { alone }, plug, sight }: WatchedHeater,
  now: Instant,
): PlugVoice {
  const voice = voiceOf(sights, { plug, alone }, now);
  const isTold = voice === 'speaks' || voice === 'plug-silent';
  const isSeen = sight.powerAt !== undefined && sight.drawing !== undefined;
  return isTold && !isSeen ? 'no-power-seen' : voice;
}

export function viewHeater(sights: Sights, heater: WatchedHeater, now: Instant): HeaterView {
  const { sight } = heater;
  const offs = sight.thermostat?.offs ?? [];
  return {
    voice: voiceOfHeater(sights, heater, now),
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

/**
 * Adds one piece of evidence, or none where the value is not known.
 * @param subject what it is of, where that is not what the watch looks at
 */
export function note(
  proof: Evidence[],
  what: string,
  value: number | undefined,
  unit: Evidence['unit'],
  at?: Instant | undefined,
  subject?: Subject,
): void {
  if (value === undefined || !Number.isFinite(value)) return;
  proof.push({ what, value, unit, at, ...(subject === undefined ? {} : { subject }) });
}
