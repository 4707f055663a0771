import type { TariffConfig } from './config.ts';

type Energy = TariffConfig['energy'];

/** A short text that is equal only for tariffs under which each slot has the same rate. */
export function hoursKeyOf({ energy }: TariffConfig): string {
  switch (energy.kind) {
    case 'flat':
      return 'flat';
    case 'slot-prices':
      return 'slots';
    case 'time-of-use': {
      const { clock, seasons, holidays, periods } = energy;
      const hours = periods.map(({ rate, season, days, from, to }) => [
        rate,
        season,
        days,
        from,
        to,
      ]);
      const dates = [...(holidays?.dates ?? [])].sort();
      return JSON.stringify([clock, seasonList(seasons), holidays?.like, dates, hours]);
    }
  }
}

/** A short text that is equal only for tariffs under which every energy costs the same. */
export function priceKeyOf(config: TariffConfig, currency: string): string {
  const { energy, charges, billing_day, standing_charges } = config;
  const month = [billing_day, standing_charges, currency];
  return JSON.stringify([hoursKeyOf(config), energyPrices(energy), charges, month]);
}

function energyPrices(energy: Energy): unknown {
  if (energy.kind === 'slot-prices') return energy;
  const blocks = [seasonList(energy.seasons), energy.blocks];
  if (energy.kind === 'flat') return [energy.price_per_kwh, energy.prices_per_kwh, blocks];
  const prices = Object.entries(energy.rates).map(([id, rate]) => [
    id,
    rate.price_per_kwh,
    rate.prices_per_kwh,
  ]);
  return [prices, blocks];
}

const seasonList = (seasons: Extract<Energy, { kind: 'flat' }>['seasons']): unknown =>
  Object.entries(seasons ?? {}).map(([id, { from, to }]) => [id, from, to]);
