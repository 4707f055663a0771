import type { TariffConfig } from './config.ts';
import { type Fraction, MILLION, millionths, plus, times, whole, ZERO } from './exact.ts';

type ChargeConfig = TariffConfig['charges'][number];

/** One charge. What it comes to is per kWh, per month or per day in micro-units, or a percent. */
export interface Charge {
  readonly name: string;
  readonly by: 'kwh' | 'month' | 'day' | 'percent';
  /** In millionths: micro-units, or millionths of a percent. */
  readonly rate: bigint;
  /** For a percent, the lines it is of: 0 the energy, 1 the first charge, and so on. */
  readonly of: readonly number[];
}

/** Lines of a bill taken together, as parts of what they hang on. All but `energy` in micro-units. */
interface Load {
  /** Times the price of the energy. */
  readonly energy: Fraction;
  readonly perKwh: Fraction;
  readonly perMonth: Fraction;
  readonly perDay: Fraction;
}

export interface Charges {
  readonly lines: readonly Charge[];
  /** The energy and all charges. */
  readonly whole: Load;
}

/** Only for charges in which `tariffProblems` finds nothing. */
export function compileCharges(configs: readonly ChargeConfig[]): Charges {
  const lines: Charge[] = [];
  const loads: Load[] = [{ ...NO_LOAD, energy: whole(1) }];
  for (const config of configs) {
    const charge = chargeOf(config, lines);
    lines.push(charge);
    loads.push(loadOf(charge, loads));
  }
  return { lines, whole: together(loads) };
}

function chargeOf(config: ChargeConfig, above: readonly Charge[]): Charge {
  const { name, per_kwh, per_month, per_day, percent = 0, of = 'all-above' } = config;
  if (per_kwh !== undefined) return { name, by: 'kwh', rate: millionths(per_kwh), of: [] };
  if (per_month !== undefined) return { name, by: 'month', rate: millionths(per_month), of: [] };
  if (per_day !== undefined) return { name, by: 'day', rate: millionths(per_day), of: [] };
  const names = ['energy', ...above.map((charge) => charge.name)];
  const lines = of === 'all-above' ? [...names.keys()] : of.map((each) => names.indexOf(each));
  return { name, by: 'percent', rate: millionths(percent), of: lines };
}

const NO_LOAD: Load = { energy: ZERO, perKwh: ZERO, perMonth: ZERO, perDay: ZERO };

function loadOf({ by, rate, of }: Charge, above: readonly Load[]): Load {
  if (by === 'kwh') return { ...NO_LOAD, perKwh: whole(rate) };
  if (by === 'month') return { ...NO_LOAD, perMonth: whole(rate) };
  if (by === 'day') return { ...NO_LOAD, perDay: whole(rate) };
  const sum = together(of.map((line) => above[line] ?? NO_LOAD));
  const part = percentOf(rate);
  return {
    energy: times(sum.energy, part),
    perKwh: times(sum.perKwh, part),
    perMonth: times(sum.perMonth, part),
    perDay: times(sum.perDay, part),
  };
}

/** Millionths of a percent as a part of one. */
export const percentOf = (rate: bigint): Fraction => ({ over: rate, under: 100n * MILLION });

const together = (loads: readonly Load[]): Load =>
  loads.reduce(
    (a, b) => ({
      energy: plus(a.energy, b.energy),
      perKwh: plus(a.perKwh, b.perKwh),
      perMonth: plus(a.perMonth, b.perMonth),
      perDay: plus(a.perDay, b.perDay),
    }),
    NO_LOAD,
  );
