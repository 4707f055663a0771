import {
  type Calendar,
  type Instant,
  type MicroPerKwh,
  type MicroUnits,
  microPerKwh,
  type Span,
} from '../units/index.ts';
import { type BilledRate, writeBill } from './bill.ts';
import { billingMonths, blockEndsOf } from './billing-months.ts';
import { type Charges, compileCharges } from './charges.ts';
import type { TariffConfig } from './config.ts';
import { plus, rounded, times, whole } from './exact.ts';
import { hoursKeyOf, priceKeyOf } from './keys.ts';
import type { Rate, RatePrice, Tariff } from './rate.ts';
import { slotFormula } from './slot-formula.ts';
import { timetable } from './timetable.ts';

/** A tariff, and which of its rates holds in a slot. */
export interface Chapter {
  readonly tariff: Tariff;
  rateAt(at: Instant): Rate | undefined;
}

/** Makes one tariff ready for use. Only for one in which `tariffProblems` finds nothing. */
export function compileTariff(
  id: string,
  config: TariffConfig,
  span: { readonly from: Instant; readonly to: Instant | undefined },
  calendar: Calendar,
  currency: string,
): Chapter {
  const { energy, name = id } = config;
  const charges = compileCharges(config.charges);
  const [bySlot, byRate] =
    energy.kind === 'slot-prices' ? [energy, undefined] : [undefined, energy];
  const formula = bySlot === undefined ? undefined : slotFormula(bySlot);
  const billed = billedRates(id, config, charges);
  const rates = billed.map(({ rate }) => rate);
  const byId = new Map(rates.map((rate) => [rate.id, rate]));
  const months = billingMonths(calendar, config.billing_day);
  const blocks = byRate?.blocks;
  const endsOf = blocks === undefined ? undefined : blockEndsOf(blocks, byRate?.seasons);
  const blockEnds: Tariff['blockEnds'] = (month) => endsOf?.(months.days(month));
  const { perMonth, perDay } = charges.whole;
  const basis = { tariff: id, rates: billed, charges: charges.lines, formula, currency };
  const bare = (published: MicroPerKwh) => formula?.price(published) ?? whole(published);
  const tariff: Tariff = {
    id,
    name,
    ...span,
    rates,
    series: bySlot?.series,
    slotPrice: (published) => loaded(bare(published), charges),
    energyPrice: (published) => rounded(bare(published)) as MicroPerKwh,
    month: (at) => cut(months.month(at), span),
    blockEnds,
    blocksAt: blocks?.priced_at ?? 'average',
    standing(month) {
      const { days, of } = months.days(month);
      const monthly = times(perMonth, { over: BigInt(days.length), under: BigInt(of) });
      return rounded(plus(monthly, times(perDay, whole(days.length)))) as MicroUnits;
    },
    standingShared: config.standing_charges === 'tanks',
    bill: (month, use) => writeBill(basis, months.days(month), blockEnds(month), use),
    hoursKey: hoursKeyOf(config),
    priceKey: priceKeyOf(config, currency),
  };
  const only = rates[0];
  return {
    tariff,
    rateAt: energy.kind === 'time-of-use' ? timetable(energy, byId, calendar) : () => only,
  };
}

function billedRates(tariff: string, config: TariffConfig, charges: Charges): BilledRate[] {
  const { energy } = config;
  const billed = (id: string, name: string, bare: RatePrice): BilledRate => ({
    rate: { key: `${tariff}/${id}`, id, name, tariff, price: withCharges(bare, charges) },
    bare,
  });
  switch (energy.kind) {
    case 'flat':
      return [billed('flat', config.name ?? 'flat', barePrice(energy))];
    case 'slot-prices':
      return [billed('slots', config.name ?? 'slot prices', { kind: 'slots' })];
    case 'time-of-use':
      return Object.entries(energy.rates).map(([id, rate]) =>
        billed(id, rate.name ?? id, barePrice(rate)),
      );
  }
}

/** One of the two is there: `tariffProblems` sees to it. */
function barePrice(pricing: {
  readonly price_per_kwh?: number | undefined;
  readonly prices_per_kwh?: readonly number[] | undefined;
}): RatePrice {
  const { price_per_kwh: one = 0, prices_per_kwh: several } = pricing;
  return several === undefined
    ? { kind: 'fixed', perKwh: microPerKwh(one) }
    : { kind: 'blocks', perKwh: several.map(microPerKwh) };
}

function withCharges(bare: RatePrice, charges: Charges): RatePrice {
  const load = (perKwh: MicroPerKwh): MicroPerKwh => loaded(whole(perKwh), charges);
  switch (bare.kind) {
    case 'fixed':
      return { kind: 'fixed', perKwh: load(bare.perKwh) };
    case 'blocks':
      return { kind: 'blocks', perKwh: bare.perKwh.map(load) };
    case 'slots':
      return bare;
  }
}

/** What a kWh costs with all charges that hang on energy, rounded once. */
const loaded = (energy: ReturnType<typeof whole>, { whole: load }: Charges): MicroPerKwh =>
  rounded(plus(times(energy, load.energy), load.perKwh)) as MicroPerKwh;

const cut = (month: Span, { from, to }: { from: Instant; to: Instant | undefined }): Span => ({
  from: Math.max(month.from, from) as Instant,
  to: Math.min(month.to, to ?? month.to) as Instant,
});
