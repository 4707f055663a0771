import { minuteOfDay, wallTimeText, wallWindows } from '../../units/index.ts';
import { nearest } from '../nearest.ts';
import type { Finding, Path } from '../problem.ts';
import type { FileInput } from '../validate.ts';
import { impossibleDate } from './dates.ts';
import { type Held, type UnevenHours, unevenHours } from './uneven-hours.ts';
import { entriesOf, type Loose, type View } from './view.ts';
import { emptySpan } from './wall-times.ts';

type Energy = Loose<FileInput['tariffs'][string]['energy']>;
type TimeOfUse = Extract<Energy, { readonly kind?: 'time-of-use' | undefined }>;
type Period = NonNullable<NonNullable<TimeOfUse['periods']>[number]>;

/** Tariffs follow each other by date, and each has one rate at every minute of every day. */
export function checkTariffs(view: View): Finding[] {
  const tariffs = entriesOf(view.file.tariffs);
  const firsts = new Map<string, string>();
  const findings = tariffs.flatMap(([id, { valid_from: from, energy }]): Finding[] => {
    const path = ['tariffs', id];
    const first = from === undefined ? undefined : firsts.get(from);
    if (from !== undefined && first === undefined) firsts.set(from, id);
    return [
      ...impossibleDate([...path, 'valid_from'], from),
      ...(first === undefined ? [] : [sameDate(id, first)]),
      ...(energy?.kind === 'time-of-use' ? checkPeriods(view, [...path, 'energy'], energy) : []),
      ...finePrices([...path, 'energy'], energy),
    ];
  });
  if (tariffs.length > 0 || view.ids('tariffs') === undefined) return findings;
  return [
    ...findings,
    {
      code: 'AMP_CONFIG_NO_TARIFF',
      path: ['tariffs'],
      at: 'key',
      found: 'no tariff',
      allowed: 'none, but every cost is then unknown',
      remedy: 'add what your utility charges',
      warning: true,
    },
  ];
}

const sameDate = (id: string, first: string): Finding => ({
  code: 'AMP_CONFIG_TARIFF_DATES',
  path: ['tariffs', id, 'valid_from'],
  found: `the date on which ${first} begins`,
  allowed: 'a date of its own for each tariff',
});

/** Money is kept in whole millionths: a finer price would be charged as another one. */
function finePrices(path: Path, energy: Energy | undefined): Finding[] {
  const prices: [Path, number | undefined][] =
    energy?.kind === 'time-of-use'
      ? entriesOf(energy.rates).map(([rate, { price_per_kwh: price }]) => [
          [...path, 'rates', rate, 'price_per_kwh'],
          price,
        ])
      : [[[...path, 'price_per_kwh'], energy?.kind === 'flat' ? energy.price_per_kwh : undefined]];
  return prices.flatMap(([at, price]): Finding[] =>
    price === undefined || Number(price.toFixed(6)) === price
      ? []
      : [
          {
            code: 'AMP_CONFIG_PRICE',
            path: at,
            allowed: 'a price of at most six decimals',
            remedy: `round it, to ${Number(price.toFixed(6))} for instance`,
          },
        ],
  );
}

function checkPeriods(view: View, path: Path, energy: TimeOfUse): Finding[] {
  const { rates, periods } = energy;
  const known = rates === undefined ? undefined : Object.keys(rates);
  const entries = (periods ?? []).map((period, index) => ({
    period,
    path: [...path, 'periods', index],
  }));
  const findings = entries.flatMap(({ period, path: at }): Finding[] =>
    period === undefined
      ? []
      : [
          ...unknownRate(view, [...at, 'rate'], period.rate, known),
          ...emptySpan(at, period),
          ...offQuarter(at, period),
        ],
  );
  // Hours can only be counted when all of them are there and each is some.
  if (periods === undefined || findings.some(({ code }) => code === 'AMP_CONFIG_HOURS')) {
    return findings;
  }
  const held: Held[] = [];
  for (const { period, path: at } of entries) {
    const { from, to, days } = period ?? {};
    if (from === undefined || to === undefined) return findings;
    if (days === undefined && view.given([...at, 'days'])) return findings;
    held.push({ days: days ?? 'every-day', windows: wallWindows(from, to) });
  }
  return [
    ...findings,
    ...unevenHours(held).map((hours) => wrongCover([...path, 'periods'], hours)),
  ];
}

/** The books know quarter-hours: a rate cannot change within one. */
function offQuarter(path: Path, period: Period): Finding[] {
  return (['from', 'to'] as const).flatMap((end): Finding[] => {
    const time = period[end];
    if (time === undefined || minuteOfDay(time) % 15 === 0) return [];
    return [
      {
        code: 'AMP_CONFIG_HOURS',
        path: [...path, end],
        allowed: 'a quarter-hour, because energy is booked by quarter-hours',
        remedy: 'use :00, :15, :30 or :45',
      },
    ];
  });
}

function unknownRate(
  view: View,
  path: Path,
  rate: string | undefined,
  known: readonly string[] | undefined,
): Finding[] {
  if (rate === undefined || known === undefined || known.includes(rate)) return [];
  const near = view.secret(path) ? undefined : nearest(rate, known);
  return [
    {
      code: 'AMP_CONFIG_REFERENCE',
      path,
      allowed: `a rate of this tariff: ${known.join(', ')}`,
      ...(near === undefined ? {} : { remedy: `did you mean ${near}?` }),
    },
  ];
}

function wrongCover(path: Path, { holders, days, from, to }: UnevenHours): Finding {
  const [, second] = holders;
  const hours = `${days} ${wallTimeText(from)} to ${wallTimeText(to)}`;
  const allowed = 'one period for every hour of every day';
  if (second === undefined) {
    return {
      code: 'AMP_CONFIG_TARIFF_HOURS',
      path,
      at: 'key',
      found: `no period for ${hours}`,
      allowed,
      remedy: 'add one for these hours',
    };
  }
  const numbers = holders.map((index) => index + 1).join(' and ');
  return {
    code: 'AMP_CONFIG_TARIFF_HOURS',
    path: [...path, second],
    found: `${holders.length} periods for ${hours}: entries ${numbers}`,
    allowed,
    remedy: 'let them meet without crossing; past midnight is the early morning of the same days',
  };
}
