import { MINUTE, type Millis } from '../units/index.ts';
import { DUTY_CELLS, type Duty, drewIn } from './duty.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import type { HeaterInput } from './heater-stuck-on.ts';
import { type HeaterView, note, type PlugVoice } from './views.ts';

export type HeaterAgainstChillerReason =
  | 'heated-and-cooled'
  | 'in-peace'
  | 'no-chiller'
  | 'chiller-unknown' // no chiller of the tank has a plug of its own that speaks
  | Exclude<PlugVoice, 'speaks'>;

export interface HeaterAgainstChillerState {
  readonly fighting: boolean;
  /** What it was looked at in, a quarter of an hour counted from 1970, and the part found then. */
  readonly cell: number;
  readonly part: number;
}

const atPeace: HeaterAgainstChillerState = { fighting: false, cell: 0, part: 0 };

const HOLD = (10 * MINUTE) as Millis;
/** It ends at this part of the threshold. */
const EASES = 0.5;

/** The part of the last day in which one drew in the same quarter of an hour as the other, or next to it. */
function togetherOf(heater: Duty, chillers: readonly HeaterView[]): number {
  let together = 0;
  for (let i = 0; i < DUTY_CELLS; i += 1) {
    const cell = heater.newest - i;
    if (!drewIn(heater, cell)) continue;
    const cooled = chillers.some(
      ({ sight: { duty } }) =>
        drewIn(duty, cell) || drewIn(duty, cell - 1) || drewIn(duty, cell + 1),
    );
    if (cooled) together += 1;
  }
  return together / DUTY_CELLS;
}

/**
 * A heater and a chiller that undo each other's work. A planned night cycle changes over twice a
 * day, far less than a tenth of it.
 */
export function lookAtHeaterAgainstChiller(
  before: HeaterAgainstChillerState | undefined,
  input: HeaterInput,
): { state: HeaterAgainstChillerState; finding: Finding } {
  const state = before ?? atPeace;
  const { config, tank, heater, chillers } = input;
  const told = (
    verdict: Finding['verdict'],
    reason: HeaterAgainstChillerReason,
    proof: Evidence[] = [],
  ) => possibleWarning(verdict, reason, proof, HOLD);
  if (chillers.length === 0) return { state, finding: told('quiet', 'no-chiller') };
  if (heater.voice !== 'speaks') return { state, finding: told('unknown', heater.voice) };
  const heard = chillers.filter(({ voice }) => voice === 'speaks');
  if (heard.length === 0) return { state, finding: told('unknown', 'chiller-unknown') };
  const { duty } = heater.sight;
  const limit = config.heater_against_chiller.part_of_day;
  const part = duty.newest === state.cell ? state.part : togetherOf(duty, heard);
  const fighting = part > (state.fighting ? EASES * limit : limit);
  const next =
    duty.newest === state.cell && fighting === state.fighting
      ? state
      : { fighting, cell: duty.newest, part };
  if (!fighting) return { state: next, finding: told('quiet', 'in-peace') };
  const proof: Evidence[] = [];
  note(proof, 'heated-and-cooled', part, 'fraction');
  note(proof, 'switch-off', heater.thermostat?.switchOff, 'C');
  note(proof, 'chiller-switch-on', heard[0]?.thermostat?.switchOn, 'C');
  note(proof, 'tank-temperature', tank.middle, 'C', tank.at);
  const confidence = tank.probes === 0 ? 'possible' : 'likely';
  return { state: next, finding: { ...told('raised', 'heated-and-cooled', proof), confidence } };
}
