import {
  currencyDecimals,
  type Instant,
  type MicroPerKwh,
  type MicroUnits,
  type MilliwattHours,
} from '../../units/index.ts';

/** How commands write numbers, money and moments of a site. */
export interface Words {
  money(amount: MicroUnits): string;
  /** With its sign, also where it is more. */
  difference(amount: MicroUnits): string;
  price(perKwh: MicroPerKwh): string;
  /** Always kWh with three decimals, so that columns line up. */
  energy(amount: MilliwattHours): string;
  percent(fraction: number): string;
  count(things: number): string;
  /** '2026-03-03 14:15' by the site's wall clock. */
  moment(at: Instant): string;
}

export function createWords(site: {
  readonly locale: string;
  readonly currency: string;
  readonly time_zone: string;
}): Words {
  const { locale, currency, time_zone: timeZone } = site;
  const digits = currencyDecimals(currency);
  const money = new Intl.NumberFormat(locale, {
    style: 'currency',
    currency,
    minimumFractionDigits: digits,
    maximumFractionDigits: digits,
  });
  const difference = new Intl.NumberFormat(locale, {
    style: 'currency',
    currency,
    minimumFractionDigits: digits,
    maximumFractionDigits: digits,
    signDisplay: 'exceptZero',
  });
  const price = new Intl.NumberFormat(locale, {
    style: 'currency',
    currency,
    minimumFractionDigits: digits,
    maximumFractionDigits: 6,
  });
  const thousandths = new Intl.NumberFormat(locale, {
    minimumFractionDigits: 3,
    maximumFractionDigits: 3,
  });
  const whole = new Intl.NumberFormat(locale, { maximumFractionDigits: 0 });
  const percent = new Intl.NumberFormat(locale, { style: 'percent', maximumFractionDigits: 1 });
  // The Swedish form is the ISO one.
  const moment = new Intl.DateTimeFormat('sv-SE', {
    timeZone,
    dateStyle: 'short',
    timeStyle: 'short',
  });
  return {
    money: (amount) => money.format(amount / 1e6),
    difference: (amount) => difference.format(amount / 1e6),
    price: (perKwh) => `${price.format(perKwh / 1e6)}/kWh`,
    energy: (amount) => `${thousandths.format(amount / 1e6)} kWh`,
    percent: (fraction) => percent.format(fraction),
    count: (things) => whole.format(things),
    moment: (at) => moment.format(at),
  };
}
