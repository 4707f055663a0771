import {
  HOUR,
  type Instant,
  type MicroUnits,
  type Millis,
  type MilliwattHours,
} from '../units/index.ts';
import type { Measured } from './room-view.ts';

/** How one site writes numbers, money, temperatures and times. */
export interface Words {
  money(amount: MicroUnits): string;
  price(perKwh: MicroUnits): string;
  energy(amount: MilliwattHours): string;
  power(watts: number): string;
  temperature(celsius: number): string;
  percent(fraction: number): string;
  hours(length: Millis): string;
  clock(at: Instant): string;
  dateAndClock(at: Instant): string;
}

/** Regions in which keepers read Fahrenheit. */
const FAHRENHEIT = new Set(['US', 'BS', 'BZ', 'KY', 'PW', 'FM', 'MH', 'LR']);

export const usesFahrenheit = (locale: string): boolean =>
  FAHRENHEIT.has(new Intl.Locale(locale).maximize().region ?? '');

export function createWords(site: { locale: string; currency: string; zone: string }): Words {
  const { locale, currency, zone } = site;
  const number = (digits: number, extra: Intl.NumberFormatOptions = {}): Intl.NumberFormat =>
    new Intl.NumberFormat(locale, {
      minimumFractionDigits: digits,
      maximumFractionDigits: digits,
      ...extra,
    });
  const money = new Intl.NumberFormat(locale, { style: 'currency', currency });
  const coin = 10 ** (6 - (money.resolvedOptions().maximumFractionDigits ?? 2));
  const price = new Intl.NumberFormat(locale, {
    style: 'currency',
    currency,
    minimumFractionDigits: 4,
    maximumFractionDigits: 6,
  });
  const kilowattHours = [number(3), number(2), number(1), number(0)];
  const watts = [number(1), number(0)];
  const degrees = number(1);
  const share = new Intl.NumberFormat(locale, { style: 'percent', maximumFractionDigits: 1 });
  const hours = number(1);
  const clock = new Intl.DateTimeFormat(locale, { timeZone: zone, timeStyle: 'short' });
  const date = new Intl.DateTimeFormat(locale, {
    timeZone: zone,
    dateStyle: 'medium',
    timeStyle: 'short',
  });
  const fahrenheit = usesFahrenheit(locale);

  return {
    money(amount) {
      // An amount that is not nothing never reads as nothing.
      return amount > 0 && amount < coin / 2
        ? `<${money.format(coin / 1e6)}`
        : money.format(amount / 1e6);
    },
    price: (perKwh) => `${price.format(perKwh / 1e6)}/kWh`,
    energy: (amount) => {
      const kwh = amount / 1e6;
      const size = Math.abs(kwh);
      const format = kilowattHours[size < 1 ? 0 : size < 100 ? 1 : size < 1000 ? 2 : 3];
      return `${format?.format(kwh)} kWh`;
    },
    power: (value) =>
      `${watts[Math.abs(value) >= 0.05 && Math.abs(value) < 10 ? 0 : 1]?.format(value)} W`,
    temperature: (value) =>
      fahrenheit ? `${degrees.format(value * 1.8 + 32)} °F` : `${degrees.format(value)} °C`,
    percent: (fraction) =>
      fraction > 0 && fraction < 0.0005 ? `<${share.format(0.001)}` : share.format(fraction),
    hours: (length) => `${hours.format(length / HOUR)} h`,
    clock: (at) => clock.format(at),
    dateAndClock: (at) => date.format(at),
  };
}

/** Where a value stands on the kept range drawn from `low` to `high`, 0–1. */
export function position(value: number, low: number, high: number): number {
  return Math.min(1, Math.max(0, (value - low) / (high - low)));
}

export type Fit = 'unknown' | 'stale' | 'below' | 'within' | 'above';

export function fitOf(measured: Measured | undefined, keep: { min: number; max: number }): Fit {
  if (measured === undefined) return 'unknown';
  if (measured.stale) return 'stale';
  if (measured.value < keep.min) return 'below';
  return measured.value > keep.max ? 'above' : 'within';
}
