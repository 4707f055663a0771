import type { House } from '../../src/app/house.ts';
import type { Fault } from '../../src/simulator/index.ts';
import { DAY, HOUR, MINUTE } from '../../src/units/index.ts';
import type { ExpectedDuty } from '../../src/watches/index.ts';
import { chillerShare, deviceOf, givenKelvin, heatersOf, isPlanned, tankOf } from './gear.ts';
import { fallWithin, levelOf, type Truth } from './truth.ts';

/** A house with a fault in it, as it truly is: by that each rule gives its hold, ms, while it holds. */
export interface Sick {
  readonly fault: Fault;
  readonly truth: Truth;
  readonly house: House;
  /** Liters of water by tank. */
  readonly liters: ReadonlyMap<string, number>;
  /** How often plugs and probes speak when nothing changes, ms. */
  readonly interval: number;
  /** Where the thermostat switched off when the fault began, °C. */
  readonly setBefore: number | undefined;
  /** What the device drew while on when the fault began, W. */
  readonly wattsBefore: number | undefined;
  /** The longest time for which a probe has said the same, ms. */
  readonly longestStill: (probe: string) => number;
  readonly expected: ReadonlyMap<string, ExpectedDuty>;
}

type TankConfig = House['config']['tanks'][string];

/** The thermostat's band in the simulated house, K. */
const BAND = 0.5;
/** Within so much of a threshold a probe's noise says now this, now that, K. */
const NOISE_K = 0.1;
/** A room's brief dips are left out: its level is one of half an hour. */
const ROOM_LEVEL = 30 * MINUTE;

const thresholds = ({ house }: Sick) => house.config.watches;
const when = (holds: boolean, hold: number): number | undefined => (holds ? hold : undefined);
export const threeIntervals = (sick: Sick): number => {
  const { intervals, at_least_min } = thresholds(sick).silence;
  return Math.max(at_least_min * MINUTE, intervals * sick.interval);
};

export function stuckOn(sick: Sick): number | undefined {
  const { above_switch_off_k, hold_min } = thresholds(sick).heater_stuck_on;
  const { tank, set } = heated(sick);
  return when(tank !== undefined && tank >= set + above_switch_off_k, hold_min * MINUTE);
}

export function dead(sick: Sick): number | undefined {
  const { below_set_k, hold_min } = thresholds(sick).heater_not_heating;
  const { tank, set, ago } = heated(sick);
  const isCold = tank !== undefined && tank <= set - BAND / 2 - below_set_k;
  return when(isCold && tank - (ago ?? tank) < 0.1, hold_min * MINUTE);
}

function heated({ fault, truth, house, setBefore }: Sick) {
  const tank = tankOf(fault, house.config) ?? '';
  const set = setBefore ?? Number.NaN;
  return { tank: truth.tank(tank), ago: truth.tank(tank, 30), set };
}

/** From its first weak run on, for as long as three of them take. */
export function weak(sick: Sick): number | undefined {
  const { fault, truth, wattsBefore } = sick;
  const { below, cycles } = thresholds(sick).heater_weak;
  if (wattsBefore === undefined) return undefined;
  const runs = truth
    .runs(deviceOf(fault) ?? '')
    .filter(({ from, watts }) => from >= fault.from && watts < wattsBefore * (1 - below));
  const last = runs[cycles - 1];
  const first = runs[0];
  return first === undefined || last === undefined ? undefined : last.to - first.from;
}

export function drifting({ fault, truth, setBefore }: Sick): number | undefined {
  const device = deviceOf(fault) ?? '';
  const set = truth.setOf(device);
  const last = truth.runs(device).at(-1);
  if (set === undefined || setBefore === undefined || last === undefined) return undefined;
  return when(Math.abs(set - setBefore) >= 0.5 && truth.now - last.to < DAY, 14 * DAY);
}

export function chattering(sick: Sick): number | undefined {
  const { fault, house } = sick;
  const { tank, set } = heated(sick);
  const plug = house.config.devices[deviceOf(fault) ?? '']?.plug ?? '';
  const isHeard = house.config.plugs[plug]?.reporting === 'on-change';
  const { within_min } = thresholds(sick).heater_chattering;
  return when(isHeard && tank !== undefined && tank < set - BAND / 2, within_min * MINUTE);
}

/** Two hours of heat that went elsewhere. */
export function dry(sick: Sick): number | undefined {
  const { fault, truth, house } = sick;
  const { worth_k, answered_k } = thresholds(sick).heater_unheard;
  const tank = tankOf(fault, house.config) ?? '';
  const now = truth.tank(tank);
  const before = truth.tank(tank, 120);
  if (now === undefined || before === undefined || truth.now - fault.from < 2 * HOUR) {
    return undefined;
  }
  const worth = givenKelvin(sick, tank, 120, 'after-losses');
  return when(worth >= worth_k && now - before < answered_k, 2 * HOUR);
}

export function stoppedPump(sick: Sick): number | undefined {
  const device = deviceOf(sick.fault) ?? '';
  const isAir = sick.house.config.devices[device]?.kind === 'air-pump';
  const { air_stopped: air, pump_stopped: pump } = thresholds(sick);
  const hold = isAir ? air.hold_min : Math.max(pump.hold_min, PAUSE_BELIEVED);
  return when(!sick.truth.isOn(device), hold * MINUTE);
}

/** Pumps here pause for ten minutes at feeding: they are believed half as long again. */
const PAUSE_BELIEVED = 15;

export function laboring(sick: Sick): number | undefined {
  const { fault, house } = sick;
  if (fault.kind !== 'laboring-pump') return undefined;
  const by = Math.abs(fault.part - 1);
  const { pump_laboring: pump, air_stopped: air } = thresholds(sick);
  if (house.config.devices[fault.device]?.kind === 'air-pump') {
    return when(by >= air.change + NEAR, air.hold_min * MINUTE);
  }
  if (by >= pump.urgent_change + NEAR) return pump.urgent_min * MINUTE;
  return when(by >= pump.change, pump.hold_h * HOUR);
}

/** What a pump draws moves by so much anyhow. */
const NEAR = 0.03;

export function lightOffPlan(sick: Sick): number | undefined {
  const device = deviceOf(sick.fault) ?? '';
  const planned = isPlanned(sick.house, device, sick.truth.now);
  const { hold_min } = thresholds(sick).light_off_plan;
  return when(planned !== sick.truth.isOn(device), hold_min * MINUTE);
}

/** It reads the room: out of the tank's range, or deaf to hours of heat. */
export function displaced(sick: Sick): number | undefined {
  const { fault, truth, house } = sick;
  const tank = tankOf(fault, house.config);
  if (tank === undefined || truth.now - fault.from < 10 * MINUTE) return undefined;
  const { keep_c: keep, room, housing } = house.config.tanks[tank] as TankConfig;
  const air = truth.room(room);
  if (air === undefined) return undefined;
  const isDry = housing === 'terrarium' || housing === 'vivarium';
  const { out_of_range, heater_unheard } = thresholds(sick);
  if (air < keep.min - 2 * NOISE_K || air > keep.max + 2 * NOISE_K)
    return (isDry ? 30 : out_of_range.hold_min) * MINUTE;
  if (truth.now - fault.from < 2 * HOUR) return undefined;
  return when(givenKelvin(sick, tank, 120, 'all') >= heater_unheard.worth_k, 2 * HOUR);
}

export function frozen(sick: Sick): number | undefined {
  const { fault, truth, house, longestStill } = sick;
  if (!('probe' in fault)) return undefined;
  const tank = tankOf(fault, house.config);
  const { at_least_min, times_longest } = thresholds(sick).probe_frozen;
  const span = Math.max(at_least_min * MINUTE, times_longest * longestStill(fault.probe));
  const since = truth.now - fault.from;
  if (tank === undefined || since < span) return undefined;
  const minutes = Math.min(since, DAY) / MINUTE;
  return when(givenKelvin(sick, tank, minutes, 'all') >= 0.5, span);
}

/** The heaters' work over six hours lies outside what the fit expects. */
export function lidOff(sick: Sick): number | undefined {
  const { fault, truth, house, expected } = sick;
  const tank = tankOf(fault, house.config) ?? '';
  const band = expected.get(tank);
  if (band === undefined || truth.now - fault.from < 6 * HOUR) return undefined;
  const heaters = heatersOf(tank, house.config);
  const whole = heaters.reduce((sum, { watts }) => sum + watts, 0);
  const duty = heaters.reduce((sum, { id, watts }) => sum + truth.duty(id, 360) * watts, 0) / whole;
  return when(
    duty > band.high || duty < band.low,
    thresholds(sick).duty_unexplained.hold_min * MINUTE,
  );
}

export function cooling(sick: Sick): number | undefined {
  const { fault, truth, house } = sick;
  const { fall_k, within_min } = thresholds(sick).room_cooling;
  const rooms = 'room' in fault ? [fault.room] : Object.keys(house.config.rooms);
  const falls = rooms.some(
    (room) =>
      (fallWithin(
        levelOf((ago) => truth.room(room, ago)),
        within_min,
      ) ?? 0) >=
      fall_k + NOISE_K,
  );
  return when(falls, ROOM_LEVEL + 10 * MINUTE);
}

/** Plugs with a last will, or that speak steadily: the others may keep silent as they like. */
export function powerCut(sick: Sick): number | undefined {
  const { fault, house } = sick;
  const rooms = 'rooms' in fault ? fault.rooms : undefined;
  const { devices, plugs, tanks, feeds } = house.config;
  const wills = Object.values(feeds).flatMap(({ values }) =>
    values.flatMap((value) => (value.measure === 'presence' && value.plug ? [value.plug] : [])),
  );
  const hasWill = (plug: string) =>
    wills.some((will) => plug.startsWith(will.split('{')[0] ?? will));
  const telling = Object.values(devices).filter(
    ({ plug, tank }) =>
      plug !== undefined &&
      tank !== undefined &&
      (rooms === undefined || rooms.includes(tanks[tank]?.room ?? '')) &&
      (hasWill(plug) || plugs[plug]?.reporting === 'interval'),
  );
  return when(telling.length >= thresholds(sick).power_cut.plugs, threeIntervals(sick) + MINUTE);
}

export function fighting(sick: Sick): number | undefined {
  const tank = tankOf(sick.fault, sick.house.config) ?? '';
  return when(chillerShare({ ...sick, tank }) > 0.1, 0.1 * DAY);
}
