import {
  currencyDecimals,
  degreesOf,
  HOUR,
  type Instant,
  MINUTE,
  type MicroPerKwh,
  type MicroUnits,
  type Millis,
  type MilliwattHours,
} from '../units/index.ts';

/** How one site writes numbers, money, temperatures and times. */
export interface Words {
  money(amount: MicroUnits): string;
  price(perKwh: MicroPerKwh): string;
  energy(amount: MilliwattHours): string;
  power(watts: number): string;
  temperature(celsius: number): string;
  /** '22.0 to 26.0 °C'. */
  range(celsius: { readonly min: number; readonly max: number }): string;
  percent(fraction: number): string;
  count(things: number): string;
  /** Minutes below an hour, then hours: '12 min', '6.2 h'. */
  length(span: Millis): string;
  clock(at: Instant): string;
  dateAndClock(at: Instant): string;
  /** 'Thu 7:00 a.m.' */
  weekdayAndClock(at: Instant): string;
  /** With its date only where the clock alone could be mistaken. */
  moment(at: Instant, now: Instant): string;
}

/** Digits of a micro-unit behind the decimal point: no price is known more finely. */
const MICRO_DIGITS = 6;

/** Make one per site: number formats are dear to construct. */
export function createWords(site: { locale: string; currency: string; zone: string }): Words {
  const { locale, currency, zone } = site;
  const number = (least: number, most = least, more: Intl.NumberFormatOptions = {}) =>
    new Intl.NumberFormat(locale, {
      minimumFractionDigits: least,
      maximumFractionDigits: most,
      signDisplay: 'negative',
      ...more,
    });
  const digits = currencyDecimals(currency);
  const money = new Intl.NumberFormat(locale, {
    style: 'currency',
    currency,
    minimumFractionDigits: digits,
    maximumFractionDigits: digits,
  });
  const coin = 10 ** (MICRO_DIGITS - digits);
  const price = number(Math.min(digits + 2, MICRO_DIGITS), Math.min(digits + 4, MICRO_DIGITS), {
    style: 'currency',
    currency,
  });
  const thousandths = number(3);
  const hundredths = number(2);
  const tenths = number(1);
  const whole = number(0);
  const share = number(0, 1, { style: 'percent' });
  const clock = new Intl.DateTimeFormat(locale, { timeZone: zone, timeStyle: 'short' });
  const date = new Intl.DateTimeFormat(locale, {
    timeZone: zone,
    dateStyle: 'medium',
    timeStyle: 'short',
  });
  const weekday = new Intl.DateTimeFormat(locale, {
    timeZone: zone,
    weekday: 'short',
    hour: 'numeric',
    minute: '2-digit',
  });
  const { sign, temperature } = degreesOf(locale);
  const degrees = (celsius: number): string => tenths.format(temperature(celsius));

  return {
    // An amount that is not nothing never reads as nothing.
    money(amount) {
      if (amount === 0 || Math.abs(amount) >= coin / 2) return money.format(amount / 1e6);
      return amount > 0 ? `<${money.format(coin / 1e6)}` : `>${money.format(-coin / 1e6)}`;
    },
    price: (perKwh) => `${price.format(perKwh / 1e6)}/kWh`,
    energy(amount) {
      const kwh = amount / 1e6;
      const size = Math.abs(kwh);
      if (amount > 0 && size < 0.0005) return `<${thousandths.format(0.001)} kWh`;
      if (size < 0.9995) return `${thousandths.format(kwh)} kWh`;
      if (size < 99.995) return `${hundredths.format(kwh)} kWh`;
      return `${(size < 999.95 ? tenths : whole).format(kwh)} kWh`;
    },
    power(watts) {
      const size = Math.abs(watts);
      return `${(size >= 0.05 && size < 9.95 ? tenths : whole).format(watts)} W`;
    },
    temperature: (celsius) => `${degrees(celsius)} ${sign}`,
    range: ({ min, max }) => `${degrees(min)} to ${degrees(max)} ${sign}`,
    percent(fraction) {
      if (fraction > 0 && fraction < 0.0005) return `<${share.format(0.001)}`;
      if (fraction < 1 && fraction >= 0.9995) return `>${share.format(0.999)}`;
      return share.format(fraction);
    },
    count: (things) => whole.format(things),
    length(span) {
      if (span < HOUR) return `${whole.format(Math.ceil(span / MINUTE))} min`;
      return `${(span < 100 * HOUR ? tenths : whole).format(span / HOUR)} h`;
    },
    clock: (at) => clock.format(at),
    dateAndClock: (at) => date.format(at),
    weekdayAndClock: (at) => weekday.format(at),
    moment: (at, now) => (Math.abs(now - at) < 12 * HOUR ? clock : date).format(at),
  };
}
