import {
  type Calendar,
  currencyDecimals,
  HOUR,
  type Instant,
  type LocalDate,
  MINUTE,
  type MicroPerKwh,
  type MicroUnits,
  type Millis,
  type MilliwattHours,
} from '../units/index.ts';

/** How one site writes numbers and times for a terminal. */
export interface Words {
  money(amount: MicroUnits): string;
  /** With its sign, also where it is more. */
  difference(amount: MicroUnits): string;
  price(perKwh: MicroPerKwh): string;
  /** In kWh, always with three decimals, so that columns line up. */
  energy(amount: MilliwattHours): string;
  percent(fraction: number): string;
  count(things: number): string;
  /** '35 min', '6.2 h', '744 h'. */
  length(span: Millis): string;
  date(date: LocalDate): string;
  /** With the offset from UTC, since in autumn an hour comes twice. */
  dateAndClock(at: Instant): string;
  /** '2026-03-03 14:15' by the site's wall clock: for columns. */
  moment(at: Instant): string;
}

export function createWords(site: {
  readonly locale: string;
  readonly currency: string;
  readonly calendar: Calendar;
}): Words {
  const { locale, currency, calendar } = site;
  const number = (digits: number, more: Intl.NumberFormatOptions = {}) =>
    new Intl.NumberFormat(locale, {
      minimumFractionDigits: digits,
      maximumFractionDigits: digits,
      signDisplay: 'negative',
      ...more,
    });
  const decimals = currencyDecimals(currency);
  const money = number(decimals, { style: 'currency', currency });
  const difference = number(decimals, { style: 'currency', currency, signDisplay: 'exceptZero' });
  const price = number(decimals, { style: 'currency', currency, maximumFractionDigits: 6 });
  const [whole, tenths, thousandths] = [number(0), number(1), number(3)];
  const share = number(1, { style: 'percent' });
  const date = new Intl.DateTimeFormat(locale, { timeZone: 'UTC', dateStyle: 'medium' });
  const clock = new Intl.DateTimeFormat(locale, {
    timeZone: calendar.zone,
    year: 'numeric',
    month: 'short',
    day: 'numeric',
    hour: 'numeric',
    minute: '2-digit',
    timeZoneName: 'shortOffset',
  });
  // The Swedish form is the ISO one.
  const moment = new Intl.DateTimeFormat('sv-SE', {
    timeZone: calendar.zone,
    dateStyle: 'short',
    timeStyle: 'short',
  });
  return {
    money: (amount) => money.format(amount / 1e6),
    difference: (amount) => difference.format(amount / 1e6),
    price: (perKwh) => `${price.format(perKwh / 1e6)}/kWh`,
    moment: (at) => moment.format(at),
    energy: (amount) => `${thousandths.format(amount / 1e6)} kWh`,
    percent: (fraction) => share.format(fraction),
    count: (things) => whole.format(things),
    length(span) {
      if (span < HOUR) return `${whole.format(Math.ceil(span / MINUTE))} min`;
      return `${(span < 100 * HOUR ? tenths : whole).format(span / HOUR)} h`;
    },
    date: (day) => date.format(Date.parse(day)),
    dateAndClock: (at) => clock.format(at),
  };
}
