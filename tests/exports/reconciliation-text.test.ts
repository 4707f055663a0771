import { describe, expect, test } from 'vitest';
import type { Entry, Reconciliation } from '../../src/books/index.ts';
import { reconciliationText } from '../../src/exports/index.ts';
import { Calendar, HOUR, later, SLOT, type Span } from '../../src/units/index.ts';
import { entry } from '../books/fish-room.ts';
import {
  billOf,
  type Household,
  interval,
  metered,
  QUIET,
  reconciled,
  spanOf,
} from '../books/household.ts';
import { flat, period, timeOfUse } from '../tariff/tariffs.ts';

const calendar = new Calendar(QUIET.zone);
const told = (of: Reconciliation, locale = 'en-CA', currency = 'CAD'): string =>
  reconciliationText(of, { locale, currency, calendar });

const DAY_OF = spanOf(QUIET);
const running = ({ from, to }: Span): Entry[] =>
  Array.from({ length: (to - from) / SLOT }, (_, index) => {
    const slot = later(from, index * SLOT);
    return [entry(slot, 'heater', 50_000), entry(slot, 'lamp', 10_000, { known: 'reckoned' })];
  }).flat();
const tariffs = {
  lantern: timeOfUse({ day: 0.3, night: 0.1 }, [
    period('day', '06:00', '22:00'),
    period('night', '22:00', '06:00'),
  ]),
};

const WRONG: Partial<Household> = {
  tariffs,
  entries: running(DAY_OF),
  house: metered(DAY_OF, HOUR, (index) => (index === 12 ? 100 : 1000)),
  bill: billOf(40, 99.5),
};

test('says what the part is, of how many hours, and what does not add up', () => {
  const hours = Array.from({ length: 24 }, (_, hour) => {
    const clock = `${String(hour).padStart(2, '0')}:00`;
    const figures =
      hour === 12 ? '0.100 kWh   ~0.240 kWh  ~240.0%' : '1.000 kWh   ~0.240 kWh   ~24.0%';
    return `${clock}               ${figures}`;
  });
  expect(told(reconciled(WRONG)).split('\n')).toEqual([
    'House and fish room, Mar 3, 2026 to Mar 3, 2026',
    '',
    '  House                    23.100 kWh',
    '  Fish room                ~5.760 kWh  $1.34',
    '    counted                 4.800 kWh',
    '    reckoned               ~0.960 kWh',
    '  While both are known         24.0 h',
    '    rest of the house      17.340 kWh',
    '    part of the fish room      ~24.9%',
    '',
    'By month       house    fish room    part',
    '2026-03   23.100 kWh   ~5.760 kWh  ~24.9%',
    '',
    'By rate       house    fish room    part',
    'night     8.000 kWh   ~1.920 kWh  ~24.0%',
    'day      15.100 kWh   ~3.840 kWh  ~25.4%',
    '',
    'By hour of the day      house    fish room     part',
    ...hours,
    '',
    '~ more than a tenth of it is bridged or reckoned, not measured.',
    '',
    'The bill of the house',
    '  as stated                  40.000 kWh  $99.50',
    '  as the intervals count it  23.100 kWh',
    '  as the tariff makes it     23.100 kWh   $5.33',
    '  stated less these          16.900 kWh  $94.17',
    '',
    '  day                 15.100 kWh  $0.30/kWh  $4.53',
    '  night                8.000 kWh  $0.10/kWh  $0.80',
    '  bill by the tariff                         $5.33',
    '',
    'house-below-fish-room: In one hour the devices drew more than the whole house,',
    '  by at least 0.140 kWh: a plug reads high, a device is not fed by these meters,',
    '  or something in the house feeds in. What they rest on: 83.3% counted, 16.7%',
    '  reckoned.',
    '  Mar 3, 2026, 12:00 p.m. GMT-6: house 0.100 kWh, devices 0.240 kWh (83.3%',
    '    counted, 16.7% reckoned)',
    'bill-differs-from-intervals: The bill states 40.000 kWh, 16.900 kWh (73.2%) more',
    '  than the 23.100 kWh of the intervals: ask the utility for both register',
    '  readings, and compare their dates.',
    'bill-differs-from-tariff: The bill comes to $99.50, $94.17 more than the $5.33',
    '  that the tariff makes of it; rounding, and what is unsure of its energy,',
    '  explain at most $5.09. Compare prices, charges and taxes with the bill, line',
    '  by line.',
    '',
  ]);
});

test('says what is not known, and never as nothing', () => {
  const text = told(reconciled({ entries: running(DAY_OF) }));
  expect(text).toContain('  House                             –\n');
  expect(text).toContain('    part of the fish room           –\n');
  expect(text).toContain('2026-03       –   ~5.760 kWh     –');
  expect(text).toContain('– not known. A part is taken only over the time that both sides know.');
  expect(text).not.toContain('bill');
});

test('takes the part from the bill where no meter of the house is known, line by line', () => {
  const text = told(
    reconciled({
      tariffs: { lantern: flat(0.2) },
      entries: running(DAY_OF),
      bill: billOf(24, 4.8),
    }),
  );
  expect(text).toMatch(/^ {2}part of the fish room +~24\.0%$/m);
  expect(text).toMatch(/^ {2}flat +24\.000 kWh +\$0\.20\/kWh +\$4\.80$/m);
  expect(text).toMatch(/^ {2}bill by the tariff +\$4\.80$/m);
});

test('has no cost where there is no tariff, and says how much has none', () => {
  const late = { lantern: flat(0.2, '2027-01-01') };
  const text = told(reconciled({ tariffs: late, entries: running(DAY_OF) }));
  expect(text).toMatch(/^ {2}Fish room +~5\.760 kWh +–$/m);
  expect(text).toMatch(/^ {4}without a price +5\.760 kWh$/m);
  expect(text).toMatch(/^no tariff +– +~5\.760 kWh/m);
});

test('marks what is only spread over a row', () => {
  const house = [interval(DAY_OF.from, DAY_OF.to, 24_000)];
  const text = told(reconciled({ entries: running(DAY_OF), house }));
  expect(text).toContain('12:00               1.000 kWh*  ~0.240 kWh  ~24.0%');
  expect(text).toContain('2026-03   24.000 kWh   ~5.760 kWh  ~24.0%');
  expect(text).toContain('* an interval that reaches over the edge of a row is spread evenly');
});

test('tells what is missing on either side, by day and by length', () => {
  const days = ['2026-03-01', '2026-03-20'] as const;
  const span = spanOf({ ...QUIET, days });
  const text = told(
    reconciled({ days, entries: running(DAY_OF), house: metered(DAY_OF, HOUR, () => 1000) }),
  );
  expect(text.replaceAll('\n  ', ' ')).toContain(
    "intervals-missing: The house's meters say nothing of 455 h, on Mar 1, 2026, Mar 2, 2026, Mar 4, 2026, Mar 5, 2026, Mar 6, 2026, Mar 7, 2026, Mar 8, 2026, Mar 9, 2026, Mar 10, 2026, Mar 11, 2026, and 9 more: nothing is compared there.",
  );
  expect(text).toContain('fish-room-missing: Nothing is known of');
  expect((span.to - span.from) / HOUR).toBe(479);
});

test.each([
  ['de-DE', 'EUR', '5,760 kWh', '1,15 €', '24,0 %'],
  ['en-IN', 'INR', '5.760 kWh', '₹1.15', '24.0%'],
  ['ja-JP', 'JPY', '5.760 kWh', '￥1', '24.0%'],
  ['ar-TN', 'TND', '5,760 kWh', '1,152', '24,0'],
])(
  'in %s numbers, money and percents are as there, %s in its own coins',
  (locale, currency, ...all) => {
    const house = metered(DAY_OF, HOUR, () => 1000);
    const text = told(reconciled({ entries: running(DAY_OF), house }), locale, currency);
    for (const expected of all) expect(text.replaceAll(/[\u00A0\u202F]/g, ' ')).toContain(expected);
  },
);

describe('no line is longer than a terminal of the old width', () => {
  const names = ['a rate with a name that no bill would print, and some more', '\u001b[2Jnight\n'];
  const long = {
    ...WRONG,
    tariffs: { lantern: { ...flat(0.3), name: names[0] } },
    bill: billOf(4_000_000, 9_999_999.99),
  };

  test.each(['en-CA', 'de-DE', 'pt-BR', 'ja-JP', 'ar-EG', 'hi-IN'])('in %s', (locale) => {
    const lines = told(reconciled(long), locale).split('\n');
    expect(lines.length).toBeGreaterThan(40);
    expect(lines.filter((line) => [...line].length > 80)).toEqual([]);
  });

  test('and no name can rewrite the screen', () => {
    const text = told(
      reconciled({ ...long, tariffs: { lantern: { ...flat(0.3), name: names[1] } } }),
    );
    expect(text).toContain('\uFFFD[2Jnight\uFFFD');
    expect(text).not.toContain('\u001b');
  });
});
