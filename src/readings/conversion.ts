import type { FeedValue } from './config.ts';

type NumericValue = Exclude<FeedValue, { measure: 'presence' }>;

/** value in W, Wh, V, °C or % = raw × factor + shift */
interface Linear {
  readonly factor: number;
  readonly shift: number;
}

const UNITS: Readonly<Record<NumericValue['unit'], Linear>> = {
  W: { factor: 1, shift: 0 },
  kW: { factor: 1000, shift: 0 },
  mW: { factor: 1 / 1000, shift: 0 },
  Wh: { factor: 1, shift: 0 },
  kWh: { factor: 1000, shift: 0 },
  mWh: { factor: 1 / 1000, shift: 0 },
  Ws: { factor: 1 / 3600, shift: 0 },
  Wmin: { factor: 1 / 60, shift: 0 },
  V: { factor: 1, shift: 0 },
  mV: { factor: 1 / 1000, shift: 0 },
  C: { factor: 1, shift: 0 },
  F: { factor: 5 / 9, shift: -160 / 9 },
  K: { factor: 1, shift: -273.15 },
  '%': { factor: 1, shift: 0 },
  fraction: { factor: 100, shift: 0 },
};

/** The feed's scale and offset, its unit and its sign folded into one multiplication. */
export function conversion(value: NumericValue): Linear {
  const unit = UNITS[value.unit];
  const turn = value.measure === 'power' && value.sign === 'reversed' ? -1 : 1;
  return {
    factor: turn * value.scale * unit.factor,
    shift: turn * (value.offset * unit.factor + unit.shift),
  };
}

/** A register beyond this many Wh cannot be counted in exact whole milliwatt-hours. */
const LARGEST_COUNTER = Number.MAX_SAFE_INTEGER / 1000;

const PLAUSIBLE = {
  power: { min: -100_000, max: 100_000 },
  counter: { min: 0, max: LARGEST_COUNTER },
  voltage: { min: 0, max: 500 },
  temperature: { min: -60, max: 120 },
  humidity: { min: 0, max: 100 },
} as const;

/** The range that a converted value must lie in: the feed's own, else what a fish room can show. */
export function plausibleRange(value: NumericValue): { min: number; max: number } {
  const { min, max } = value.plausible ?? PLAUSIBLE[value.measure];
  return value.measure === 'counter'
    ? { min: Math.max(min, -LARGEST_COUNTER), max: Math.min(max, LARGEST_COUNTER) }
    : { min, max };
}
