import {
  learnThermostat,
  type Thermostat,
  type ThermostatState,
  thermostatOf,
} from '../heat/index.ts';
import type { Instant, Millis } from '../units/index.ts';
import type { PlannedHeater } from './plan.ts';

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
});

const POWERS = 15;
const RUNS = 20;
/** From this part of its on-power on a heater draws. */
const DRAWS = 0.1;
/** No heater takes less, W. */
const LEAST_POWER = 1;

function medianOf(values: readonly number[]): number | undefined {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[sorted.length >> 1];
}

/** Below this power the heater draws nothing, W. */
export const idleBelow = (plan: PlannedHeater, heater: HeaterSight, fraction: number): number =>
  Math.max(LEAST_POWER, fraction * (heater.onPower ?? plan.nameplate));

/** From this power on it draws, W. */
export const drawsFrom = (plan: PlannedHeater, heater: HeaterSight, fraction: number): number =>
  idleBelow(plan, heater, Math.max(DRAWS, fraction));

export interface PowerSeen {
  readonly power: number;
  readonly at: Instant;
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
    return;
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

function noteSwitching(heater: HeaterSight, drawing: boolean, seen: PowerSeen): void {
  heater.onPower = medianOf(heater.onPowers) ?? heater.onPower;
  if (!drawing && heater.since !== undefined) {
    if (heater.runs.length === RUNS) heater.runs.shift();
    heater.runs.push((seen.at - heater.since) as Millis);
  }
  const temperature = seen.temperature(seen.at);
  if (temperature === undefined) return;
  heater.thermostat = learnThermostat(heater.thermostat, {
    temperature,
    drawing,
    at: seen.at,
  });
  heater.learned = thermostatOf(heater.thermostat);
}
