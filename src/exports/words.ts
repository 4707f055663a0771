import {
  type Calendar,
  currencyDecimals,
  HOUR,
  type Instant,
  type LocalDate,
  MINUTE,
  type MicroUnits,
  type Millis,
  type MilliwattHours,
} from '../units/index.ts';

/** How one site writes numbers and times for a terminal. */
export interface Words {
  money(amount: MicroUnits): string;
  /** In kWh, always with three decimals, so that columns line up. */
  energy(amount: MilliwattHours): string;
  percent(fraction: number): string;
  count(things: number): string;
  /** '35 min', '6.2 h', '744 h'. */
  length(span: Millis): string;
  date(date: LocalDate): string;
  /** With the offset from UTC, since in autumn an hour comes twice. */
  dateAndClock(at: Instant): string;
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
  const money = number(currencyDecimals(currency), { style: 'currency', currency });
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
  return {
    money: (amount) => money.format(amount / 1e6),
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
