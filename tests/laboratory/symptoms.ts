import type { AlertWatch } from '../../src/alerts/index.ts';
import type { House } from '../../src/app/house.ts';
import type { Fault } from '../../src/simulator/index.ts';
import { DAY, HOUR, MINUTE } from '../../src/units/index.ts';
import type { ExpectedDuty } from '../../src/watches/index.ts';
import { chillerShare, deviceOf, givenKelvin, heatersOf, isPlanned, tankOf } from './gear.ts';
import { fallWithin, levelOf, type Truth } from './truth.ts';

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

/** What a fault looks like, and who should tell it. */
export interface Symptoms {
  readonly tells: readonly AlertWatch[];
  /** Watches that may rightly speak as well, of anything in the same tank or room. */
  readonly follows: readonly AlertWatch[];
  /** How long after its mending what follows may still come, ms. */
  readonly aftermath: number;
  /** It ends by itself after so long when nobody has told of it, ms. */
  readonly lasts: readonly [least: number, most: number];
  /** How the hold came about, for the table. */
  readonly holdIs: string;
  /**
   * The hold of the rule that truly holds now, ms; undefined while none does. A fault shows from the
   * first moment from which that goes on for as long as the hold.
   */
  readonly shows: (sick: Sick) => number | undefined;
}

type TankConfig = House['config']['tanks'][string];

/** What cold and heat do to a tank, whatever brought them. */
const CHILLED: readonly AlertWatch[] = ['tank-too-cold', 'heater-overmatched', 'duty-unexplained'];
const HEATED: readonly AlertWatch[] = ['tank-too-warm', 'duty-unexplained'];

/** The thermostat's band in the simulated house, K. */
const BAND = 0.5;
/** Within so much of a threshold a probe's noise says now this, now that, K. */
const NOISE_K = 0.1;
/** A room's brief dips are left out: its level is one of half an hour. */
const ROOM_LEVEL = 30 * MINUTE;

const thresholds = ({ house }: Sick) => house.config.watches;
const when = (holds: boolean, hold: number): number | undefined => (holds ? hold : undefined);
const threeIntervals = (sick: Sick): number => {
  const { intervals, at_least_min } = thresholds(sick).silence;
  return Math.max(at_least_min * MINUTE, intervals * sick.interval);
};

function stuckOn(sick: Sick): number | undefined {
  const { above_switch_off_k, hold_min } = thresholds(sick).heater_stuck_on;
  const { tank, set } = heated(sick);
  return when(tank !== undefined && tank >= set + above_switch_off_k, hold_min * MINUTE);
}

function dead(sick: Sick): number | undefined {
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
function weak(sick: Sick): number | undefined {
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

function drifting({ fault, truth, setBefore }: Sick): number | undefined {
  const device = deviceOf(fault) ?? '';
  const set = truth.setOf(device);
  const last = truth.runs(device).at(-1);
  if (set === undefined || setBefore === undefined || last === undefined) return undefined;
  return when(Math.abs(set - setBefore) >= 0.5 && truth.now - last.to < DAY, 14 * DAY);
}

function chattering(sick: Sick): number | undefined {
  const { fault, house } = sick;
  const { tank, set } = heated(sick);
  const plug = house.config.devices[deviceOf(fault) ?? '']?.plug ?? '';
  const isHeard = house.config.plugs[plug]?.reporting === 'on-change';
  const { within_min } = thresholds(sick).heater_chattering;
  return when(isHeard && tank !== undefined && tank < set - BAND / 2, within_min * MINUTE);
}

/** Two hours of heat that went elsewhere. */
function dry(sick: Sick): number | undefined {
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

function stoppedPump(sick: Sick): number | undefined {
  const device = deviceOf(sick.fault) ?? '';
  const isAir = sick.house.config.devices[device]?.kind === 'air-pump';
  const { air_stopped: air, pump_stopped: pump } = thresholds(sick);
  const hold = isAir ? air.hold_min : Math.max(pump.hold_min, PAUSE_BELIEVED);
  return when(!sick.truth.isOn(device), hold * MINUTE);
}

/** Pumps here pause for ten minutes at feeding: they are believed half as long again. */
const PAUSE_BELIEVED = 15;

function laboring(sick: Sick): number | undefined {
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

function lightOffPlan(sick: Sick): number | undefined {
  const device = deviceOf(sick.fault) ?? '';
  const planned = isPlanned(sick.house, device, sick.truth.now);
  const { hold_min } = thresholds(sick).light_off_plan;
  return when(planned !== sick.truth.isOn(device), hold_min * MINUTE);
}

/** It reads the room: out of the tank's range, or deaf to hours of heat. */
function displaced(sick: Sick): number | undefined {
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

function frozen(sick: Sick): number | undefined {
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
function lidOff(sick: Sick): number | undefined {
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

function cooling(sick: Sick): number | undefined {
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
function powerCut(sick: Sick): number | undefined {
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

const DAYS = (least: number, most: number) => [least * DAY, most * DAY] as const;
const HOURS = (least: number, most: number) => [least * HOUR, most * HOUR] as const;

/** The hold of each watch is its threshold's, or the span that it has to see: see `holdIs`. */
export const SYMPTOMS: Readonly<Record<Fault['kind'], Symptoms>> = {
  'stuck-on': {
    tells: ['heater-stuck-on'],
    follows: [...HEATED, 'heater-against-chiller'],
    aftermath: DAY,
    lasts: DAYS(3, 4),
    holdIs: '10 min',
    shows: stuckOn,
  },
  'dead-heater': {
    tells: ['heater-not-heating'],
    follows: [...CHILLED, 'after-tending'],
    aftermath: DAY,
    lasts: DAYS(3, 5),
    holdIs: '1 h',
    shows: dead,
  },
  'weak-heater': {
    tells: ['heater-weak'],
    // With less power the room may no longer be warm enough.
    follows: [...CHILLED, 'heater-unheard', 'room-cooling'],
    aftermath: 3 * DAY,
    lasts: DAYS(5, 7),
    holdIs: 'its first 3 runs',
    shows: weak,
  },
  'drifting-heater': {
    tells: ['heater-drifting'],
    follows: [...CHILLED, ...HEATED, 'heater-stuck-on', 'heater-not-heating'],
    aftermath: 15 * DAY,
    lasts: DAYS(32, 36),
    holdIs: '14 days',
    shows: drifting,
  },
  'chattering-heater': {
    tells: ['heater-chattering'],
    // What is learned from a rattling contact is wrong until it has been quiet for a day.
    follows: ['duty-unexplained', 'heater-stuck-on', 'heater-drifting', 'heater-unheard'],
    aftermath: DAY,
    lasts: DAYS(2, 3),
    holdIs: '10 min',
    shows: chattering,
  },
  'dry-heater': {
    tells: ['heater-unheard'],
    follows: CHILLED,
    aftermath: DAY,
    lasts: DAYS(1, 2),
    holdIs: '2 h of heat',
    shows: dry,
  },
  'fighting-chiller': {
    tells: ['heater-against-chiller'],
    follows: CHILLED,
    aftermath: DAY,
    lasts: DAYS(3, 4),
    holdIs: 'a tenth of a day',
    shows: (sick) => {
      const tank = tankOf(sick.fault, sick.house.config) ?? '';
      return when(chillerShare({ ...sick, tank }) > 0.1, 0.1 * DAY);
    },
  },
  'stopped-pump': {
    tells: ['pump-stopped', 'air-stopped'],
    follows: ['duty-unexplained', 'after-tending'],
    aftermath: DAY,
    lasts: DAYS(0.5, 1),
    holdIs: '15 min, as pumps pause 10 min at feeding; 30 min of an air pump',
    shows: stoppedPump,
  },
  'laboring-pump': {
    tells: ['pump-laboring', 'air-stopped'],
    follows: ['duty-unexplained', 'after-tending'],
    aftermath: 2 * DAY,
    lasts: DAYS(4, 5),
    holdIs: '15 min, 24 h; 30 min of an air pump',
    shows: laboring,
  },
  'light-stays-on': {
    tells: ['light-off-plan'],
    follows: HEATED,
    aftermath: DAY,
    lasts: DAYS(1, 2),
    holdIs: '30 min',
    shows: lightOffPlan,
  },
  'light-stays-off': {
    tells: ['light-off-plan'],
    follows: CHILLED,
    aftermath: DAY,
    lasts: DAYS(1, 2),
    holdIs: '30 min',
    shows: lightOffPlan,
  },
  'displaced-probe': {
    tells: ['tank-too-cold', 'tank-too-warm', 'heater-unheard', 'heater-overmatched'],
    follows: [...CHILLED, ...HEATED, 'heater-not-heating', 'mat-overheating', 'heater-drifting'],
    aftermath: 2 * DAY,
    lasts: DAYS(1, 2),
    holdIs: '10 min out of range (terrarium 30), 2 h of heat',
    shows: displaced,
  },
  'frozen-probe': {
    tells: ['probe-frozen'],
    follows: ['heater-unheard', 'heater-overmatched', 'heater-drifting', 'duty-unexplained'],
    aftermath: 2 * DAY,
    lasts: DAYS(1, 2),
    holdIs: '3 × its longest constancy',
    shows: frozen,
  },
  'silent-probe': {
    tells: ['probe-silent'],
    follows: [],
    aftermath: DAY,
    lasts: HOURS(6, 12),
    holdIs: '3 intervals of 5 min',
    shows: threeIntervals,
  },
  'plug-offline': {
    tells: ['plug-silent'],
    follows: ['after-tending'],
    aftermath: DAY,
    lasts: HOURS(6, 12),
    holdIs: '3 intervals of 5 min',
    shows: threeIntervals,
  },
  'lid-off': {
    tells: ['duty-unexplained'],
    // Its heat goes out at the top: the water answers less than it should.
    follows: ['tank-too-cold', 'heater-overmatched', 'heater-unheard'],
    aftermath: 2 * DAY,
    lasts: DAYS(3, 4),
    holdIs: '12 h after the 6 h looked at',
    shows: lidOff,
  },
  'open-window': {
    tells: ['room-cooling'],
    follows: [...CHILLED, 'mat-overheating', 'expensive-night'],
    aftermath: 1.5 * DAY,
    lasts: HOURS(3, 8),
    holdIs: '10 min after a level of 30 min',
    shows: cooling,
  },
  'power-cut': {
    tells: ['power-cut'],
    follows: [...CHILLED, 'plug-silent', 'after-tending', 'room-cooling', 'expensive-night'],
    aftermath: 1.5 * DAY,
    lasts: HOURS(0.5, 8),
    holdIs: '3 intervals of 5 min, and 1 min',
    shows: powerCut,
  },
  'cold-night': {
    tells: ['room-cooling'],
    follows: [...CHILLED, 'expensive-night'],
    aftermath: 1.5 * DAY,
    lasts: HOURS(12, 12),
    holdIs: '10 min after a level of 30 min',
    shows: cooling,
  },
};
