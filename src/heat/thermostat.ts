import type { Instant } from '../units/index.ts';

/** How a heater's thermostat behaves, as the tank's probe sees it. */
export interface Thermostat {
  /** Where it stops heating, °C: median of recent switchings. */
  readonly switchOff: number;
  /** Where it starts, °C. */
  readonly switchOn: number;
  /** Switchings seen of the rarer kind. */
  readonly cycles: number;
  /** Half of the switch-offs lie within this, K. */
  readonly spread: number;
}

/** What has been learned so far; plain JSON. */
export interface ThermostatState {
  readonly offs: readonly number[];
  readonly ons: readonly number[];
  /** Switch-offs far from the usual, in a row: a dial turned, or a relay that sticks. */
  readonly strayOffs: readonly number[];
  readonly strayOns: readonly number[];
  readonly cycles: number;
  /** When learning began; undefined in what was learned before that was noted. */
  readonly since?: Instant | undefined;
  readonly last: Instant | undefined;
}

export interface Switching {
  /** The tank's temperature at the moment of switching, °C. */
  readonly temperature: number;
  /** What it does from now on. */
  readonly drawing: boolean;
  readonly at: Instant;
}

const unlearned: ThermostatState = {
  offs: [],
  ons: [],
  strayOffs: [],
  strayOns: [],
  cycles: 0,
  last: undefined,
};

const KEPT = 20;
const ENOUGH = 3;
/** Further than this from the median does not count at once, K. */
const STRAY = 0.5;
/** Strays in a row that agree within `STRAY` are believed: someone has turned the dial. */
const STRAYS_BELIEVED = 5;
/** A narrow band may come out upside down by this much, for noise and a slow probe, K. */
const NARROW = 0.3;
/** A contact that bounces, or a controller that pulses, says nothing about a set point. */
const BOUNCE_MS = 60_000;

/** @returns the value below which `fraction` of the sorted copy lies; NaN for none. */
function quantile(values: readonly number[], fraction: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  const place = (sorted.length - 1) * fraction;
  const below = sorted[Math.floor(place)] ?? Number.NaN;
  const above = sorted[Math.ceil(place)] ?? Number.NaN;
  return below + (above - below) * (place - Math.floor(place));
}

function take(usual: readonly number[], strays: readonly number[], value: number) {
  const known = usual.length >= ENOUGH;
  if (!known || Math.abs(value - quantile(usual, 0.5)) <= STRAY) {
    return { usual: [...usual, value].slice(-KEPT), strays: [] };
  }
  const row = [...strays, value].slice(-STRAYS_BELIEVED);
  const agree = Math.max(...row) - Math.min(...row) <= STRAY;
  return row.length === STRAYS_BELIEVED && agree
    ? { usual: row, strays: [] }
    : { usual, strays: row };
}

/**
 * Takes one switching into account. A temperature far from the usual is set aside until five in a
 * row agree, so that a relay that sticks and is then unplugged does not teach a higher set point.
 * @param before undefined at the first switching
 */
export function learnThermostat(
  before: ThermostatState | undefined,
  seen: Switching,
): ThermostatState {
  const state = before ?? { ...unlearned, since: seen.at };
  if (state.last !== undefined && seen.at - state.last < BOUNCE_MS) {
    return { ...state, last: seen.at };
  }
  const next = seen.drawing
    ? take(state.ons, state.strayOns, seen.temperature)
    : take(state.offs, state.strayOffs, seen.temperature);
  return seen.drawing
    ? { ...state, ons: next.usual, strayOns: next.strays, last: seen.at }
    : {
        ...state,
        offs: next.usual,
        strayOffs: next.strays,
        cycles: state.cycles + 1,
        last: seen.at,
      };
}

/** Set point and band, once three switchings each way have been seen. */
export function thermostatOf(state: ThermostatState): Thermostat | undefined {
  if (state.offs.length < ENOUGH || state.ons.length < ENOUGH) return undefined;
  const switchOff = quantile(state.offs, 0.5);
  const switchOn = quantile(state.ons, 0.5);
  // The probe of another tank, or one that hangs in the air, gives no band to rely on.
  if (switchOn > switchOff + NARROW) return undefined;
  return {
    switchOff,
    switchOn,
    cycles: state.cycles,
    spread: quantile(state.offs, 0.75) - quantile(state.offs, 0.25),
  };
}
