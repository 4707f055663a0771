import {
  learnThermostat,
  type Thermostat,
  type ThermostatState,
  thermostatOf,
} from '../heat/index.ts';
import type { Instant, Millis } from '../units/index.ts';
import { createDuty, type Duty, noteStretch } from './duty.ts';
import { medianOf } from './median.ts';
import type { PlannedHeater } from './plan.ts';
import { learnStrength, type PlainStrength, type Strength, savedStrength } from './strength.ts';
import { noteSwitchOff, type SwitchOffs } from './switch-offs.ts';

/** What a heater's plug has shown of it. Powers in W. */
export interface HeaterSight {
  readonly id: string;
  /** Drawing or not, as of the last power reading; undefined before the first. */
  drawing: boolean | undefined;
  /** Since when it has been so without a doubt. */
  since: Instant | undefined;
  power: number | undefined;
  powerAt: Instant | undefined;
  /** Recent powers while drawing. */
  readonly onPowers: number[];
  /** How long it drew in one go, the recent times. */
  readonly runs: Millis[];
  /** Undefined before the first switching. */
  thermostat: ThermostatState | undefined;
  /** Read from `thermostat`, again after each switching. */
  learned: Thermostat | undefined;
  /** Median of `onPowers`. */
  onPower: number | undefined;
  /** Powers of the run that goes on, the newest of them. */
  runPowers: number[];
  /** The mains voltage then, V, where it was known. */
  runVolts: number[];
  /** Undefined before the first whole run. */
  strength: Strength | undefined;
  duty: Duty;
  /** When it switched, the newest last. */
  readonly switched: Instant[];
  switchOffs: SwitchOffs;
}

export const createHeaterSight = (id: string): HeaterSight => ({
  id,
  drawing: undefined,
  since: undefined,
  power: undefined,
  powerAt: undefined,
  onPowers: [],
  runs: [],
  thermostat: undefined,
  learned: undefined,
  onPower: undefined,
  runPowers: [],
  runVolts: [],
  strength: undefined,
  duty: createDuty(),
  switched: [],
  switchOffs: [],
});

/** A sight as this or an earlier release has saved it. */
export type SavedHeaterSight = Omit<HeaterSight, 'strength' | 'runVolts'> & {
  readonly strength: Strength | PlainStrength | undefined;
  readonly runVolts?: number[];
};

export const restoredHeater = (id: string, saved: SavedHeaterSight | undefined): HeaterSight => ({
  ...createHeaterSight(id),
  ...saved,
  strength: savedStrength(saved?.strength),
});

const POWERS = 15;
const RUNS = 20;
/** Twelve periods, to see whether they are alike. */
export const SWITCHINGS_KEPT = 25;
/** From this part of its on-power on a heater draws. */
const DRAWS = 0.1;
/** No heater takes less, W. */
const LEAST_POWER = 1;

/** Below this power the heater draws nothing, W. */
export const idleBelow = (plan: PlannedHeater, heater: HeaterSight, fraction: number): number =>
  Math.max(LEAST_POWER, fraction * (heater.onPower ?? plan.nameplate));

/** From this power on it draws, W. */
export const drawsFrom = (plan: PlannedHeater, heater: HeaterSight, fraction: number): number =>
  idleBelow(plan, heater, Math.max(DRAWS, fraction));

export interface PowerSeen {
  readonly power: number;
  readonly at: Instant;
  /** Of the mains at its plug, V; undefined where it is not known. */
  readonly volts: number | undefined;
  /** Nothing was heard for longer than this plug is ever silent. */
  readonly afterSilence: boolean;
  /** The moment of switching is known well enough to learn from. */
  readonly sharp: boolean;
  /** The tank's temperature, °C; asked for only when the heater switches. */
  readonly temperature: (at: Instant) => number | undefined;
}

/** Folds a power reading of the heater's plug in. */
export function notePower(
  heater: HeaterSight,
  plan: PlannedHeater,
  idleFraction: number,
  seen: PowerSeen,
): void {
  if (heater.powerAt !== undefined && heater.drawing !== undefined && !seen.afterSilence) {
    noteStretch(heater.duty, heater.powerAt, seen.at, heater.drawing);
  }
  heater.power = seen.power;
  heater.powerAt = seen.at;
  const drawing =
    seen.power >= drawsFrom(plan, heater, idleFraction)
      ? true
      : seen.power < idleBelow(plan, heater, idleFraction)
        ? false
        : heater.drawing;
  if (drawing === undefined) return;
  if (drawing) notePowerOn(heater, seen.power);
  if (drawing === heater.drawing) {
    if (seen.afterSilence) heater.since = seen.at;
    if (drawing) noteRunPower(heater, seen);
    return;
  }
  if (!drawing && heater.drawing === true) noteRun(heater, plan, seen);
  heater.runPowers = [];
  heater.runVolts = [];
  if (drawing) noteRunPower(heater, seen);
  if (heater.drawing !== undefined) {
    if (heater.switched.length === SWITCHINGS_KEPT) heater.switched.shift();
    heater.switched.push(seen.at);
  }
  if (heater.drawing !== undefined && !seen.afterSilence && seen.sharp) {
    noteSwitching(heater, drawing, seen);
  }
  heater.drawing = drawing;
  heater.since = seen.at;
}

function notePowerOn(heater: HeaterSight, power: number): void {
  const { onPowers } = heater;
  if (onPowers.length === POWERS) onPowers.shift();
  onPowers.push(power);
  // The first samples are worth a look each; later the median hardly moves.
  if (onPowers.length < POWERS || heater.onPower === undefined) heater.onPower = medianOf(onPowers);
}

function noteRunPower(heater: HeaterSight, { power, volts }: PowerSeen): void {
  const { runPowers, runVolts } = heater;
  if (runPowers.length === POWERS) runPowers.shift();
  runPowers.push(power);
  if (volts === undefined) {
    if (runVolts.length > 0) heater.runVolts = [];
    return;
  }
  if (runVolts.length === POWERS) runVolts.shift();
  runVolts.push(volts);
}

/** A run's first power is an inrush as often as not, where there are others. */
function noteRun(heater: HeaterSight, { nameplate }: PlannedHeater, { at }: PowerSeen): void {
  const [, ...later] = heater.runPowers;
  const power = medianOf(later.length > 0 ? later : heater.runPowers);
  if (power === undefined) return;
  const isTold = 2 * heater.runVolts.length > heater.runPowers.length;
  // The median power is that at the median voltage: each follows the other.
  const volts = isTold ? medianOf(heater.runVolts) : undefined;
  heater.strength = learnStrength(heater.strength, { power, volts, nameplate, at });
}

function noteSwitching(heater: HeaterSight, drawing: boolean, seen: PowerSeen): void {
  heater.onPower = medianOf(heater.onPowers) ?? heater.onPower;
  if (!drawing && heater.since !== undefined) {
    if (heater.runs.length === RUNS) heater.runs.shift();
    heater.runs.push((seen.at - heater.since) as Millis);
  }
  const temperature = seen.temperature(seen.at);
  if (temperature === undefined) return;
  if (!drawing) heater.switchOffs = noteSwitchOff(heater.switchOffs, temperature, seen.at);
  heater.thermostat = learnThermostat(heater.thermostat, {
    temperature,
    drawing,
    at: seen.at,
  });
  heater.learned = thermostatOf(heater.thermostat);
}
