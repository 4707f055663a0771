import { type TariffConfig, type TariffInput, tariffConfig } from '../../src/tariff/config.ts';
import { compileTariffs, type Rate, type Tariff, tariffProblems } from '../../src/tariff/index.ts';
import { Calendar, type MicroPerKwh } from '../../src/units/index.ts';

type Energy = TariffInput['energy'];
type TimeOfUse = Extract<Energy, { kind: 'time-of-use' }>;
type Period = TimeOfUse['periods'][number];

/** A tariff as a file has it, with the schema's defaults. */
export const tariffOf = (energy: Energy, rest: Partial<TariffInput> = {}): TariffConfig =>
  tariffConfig.parse({ valid_from: '2020-01-01', ...rest, energy });

export const flat = (price_per_kwh: number, valid_from = '2020-01-01'): TariffConfig =>
  tariffOf({ kind: 'flat', price_per_kwh }, { valid_from });

export const period = (
  rate: string,
  from: string,
  to: string,
  days: NonNullable<Period['days']> = 'every-day',
): Period => ({ rate, from, to, days });

export const timeOfUse = (
  prices: Readonly<Record<string, number>>,
  periods: readonly Period[],
  valid_from = '2020-01-01',
  more: Partial<TimeOfUse> = {},
): TariffConfig => {
  const rates = Object.fromEntries(
    Object.entries(prices).map(([id, price_per_kwh]) => [id, { price_per_kwh }]),
  );
  return tariffOf({ kind: 'time-of-use', rates, periods: [...periods], ...more }, { valid_from });
};

export const winnipeg = new Calendar('America/Winnipeg');

/** The one tariff of a site in Winnipeg. */
export function only(config: TariffConfig, currency = 'CAD'): Tariff {
  const [tariff] = compileTariffs({ tallow: config }, winnipeg, currency).tariffs;
  if (tariff === undefined) throw new Error('one tariff went in');
  return tariff;
}

/** Tallow Creek Power, which does not exist, with its charges. */
export const tallow = (charges: TariffInput['charges'], rest: Partial<TariffInput> = {}) =>
  tariffOf({ kind: 'flat', price_per_kwh: 0.1 }, { charges, ...rest });

/** @throws when the rate is not there or has no one price. */
export function fixedPrice(rate: Rate | undefined): MicroPerKwh {
  if (rate?.price.kind !== 'fixed') throw new Error(`no fixed price: ${JSON.stringify(rate)}`);
  return rate.price.perKwh;
}

/** Lantern Hollow Light & Water, which does not exist: cheap nights, cheaper weekends. */
export const lanternHollow = timeOfUse({ day: 0.3125, night: 0.1875, weekend: 0.15 }, [
  period('day', '06:00', '22:00', 'weekdays'),
  period('night', '22:00', '06:00', 'weekdays'),
  period('weekend', '00:00', '24:00', 'weekend'),
]);

/** `code path: found` of each, from below the energy on. */
export const energyProblems = (
  energy: TariffInput['energy'],
  rest: Partial<TariffInput> = {},
): string[] =>
  tariffProblems({ lantern: tariffOf(energy, rest) }).map(
    ({ code, path, found }) =>
      `${code} ${path.slice(1).join('.')}${found === undefined ? '' : `: ${found}`}`,
  );

export const twoSeasons = {
  cold: { from: '10-16', to: '04-15' },
  warm: { from: '04-16', to: '10-15' },
};
