import type { TariffConfig } from '../../src/tariff/config.ts';

type TimeOfUse = Extract<TariffConfig['energy'], { kind: 'time-of-use' }>;
type Period = TimeOfUse['periods'][number];

export const flat = (price_per_kwh: number, valid_from = '2020-01-01'): TariffConfig => ({
  valid_from,
  energy: { kind: 'flat', price_per_kwh },
});

export const period = (
  rate: string,
  from: string,
  to: string,
  days: Period['days'] = 'every-day',
): Period => ({ rate, from, to, days });

export const timeOfUse = (
  prices: Readonly<Record<string, number>>,
  periods: Period[],
  valid_from = '2020-01-01',
): TariffConfig => ({
  valid_from,
  energy: {
    kind: 'time-of-use',
    rates: Object.fromEntries(
      Object.entries(prices).map(([id, price_per_kwh]) => [id, { price_per_kwh }]),
    ),
    periods,
  },
});

/** Lantern Hollow Light & Water, which does not exist: cheap nights, cheaper weekends. */
export const lanternHollow = timeOfUse({ day: 0.3125, night: 0.1875, weekend: 0.15 }, [
  period('day', '06:00', '22:00', 'weekdays'),
  period('night', '22:00', '06:00', 'weekdays'),
  period('weekend', '00:00', '24:00', 'weekend'),
]);
