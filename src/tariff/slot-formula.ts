import type { MicroPerKwh, MilliwattHours } from '../units/index.ts';
import type { TariffConfig } from './config.ts';
import { type Fraction, MILLION, millionths, whole } from './exact.ts';

export type SlotPrices = Extract<TariffConfig['energy'], { kind: 'slot-prices' }>;

/** From a published price to that of the energy, before charges. */
export interface SlotFormula {
  /** In micro-units per kWh. */
  price(published: MicroPerKwh): Fraction;
  /** Whether a floor or cap bends it, so that sums of published prices do not tell the cost. */
  readonly bent: boolean;
  /** What energy costs of which Σ mWh × published is known, in micro-units. Only where not bent. */
  cost(energy: MilliwattHours, published: bigint): Fraction;
}

export function slotFormula(energy: SlotPrices): SlotFormula {
  const factor = millionths(energy.factor);
  const adder = millionths(energy.adder_per_kwh);
  const floor = energy.floor_per_kwh === undefined ? undefined : millionths(energy.floor_per_kwh);
  const cap = energy.cap_per_kwh === undefined ? undefined : millionths(energy.cap_per_kwh);
  return {
    price(published) {
      const over = factor * BigInt(published) + adder * MILLION;
      if (floor !== undefined && over < floor * MILLION) return whole(floor);
      if (cap !== undefined && over > cap * MILLION) return whole(cap);
      return { over, under: MILLION };
    },
    bent: floor !== undefined || cap !== undefined,
    cost: (mWh, published) => ({
      over: factor * published + adder * MILLION * BigInt(mWh),
      under: MILLION * MILLION,
    }),
  };
}
