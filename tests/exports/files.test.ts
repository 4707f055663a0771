import { describe, expect, test } from 'vitest';
import {
  type Account,
  type BookedEntry,
  createAccountBook,
  type HouseInterval,
} from '../../src/books/index.ts';
import { type ExportSite, exportRows } from '../../src/exports/index.ts';
import { compileTariffs } from '../../src/tariff/index.ts';
import {
  Calendar,
  type Instant,
  type LocalDate,
  later,
  type MicroPerKwh,
  type MicroUnits,
  type MilliwattHours,
  SLOT,
} from '../../src/units/index.ts';
import { at, basisOf, device, entry, memoryStore } from '../books/fish-room.ts';
import { flat, period, tariffOf, timeOfUse } from '../tariff/tariffs.ts';
import { cells, readBack, written } from './read-back.ts';

const calendar = new Calendar('America/Winnipeg');
const tariffs = compileTariffs(
  {
    lantern: timeOfUse(
      { day: 0.3, night: 0.1 },
      [period('day', '06:00', '22:00'), period('night', '22:00', '06:00')],
      '2026-03-03',
    ),
    spot: tariffOf(
      { kind: 'slot-prices', series: 'day-ahead', factor: 2, adder_per_kwh: 0.05 },
      { valid_from: '2026-04-01' },
    ),
    steps: tariffOf(
      { kind: 'flat', prices_per_kwh: [0.1, 0.2], blocks: { ends_kwh: [100] } },
      { valid_from: '2026-05-01' },
    ),
  },
  calendar,
  'CAD',
);
const site: ExportSite = {
  calendar,
  currency: 'CAD',
  tariffs,
  deviceName: (id) => (id === 'heater' ? 'Heizstab, 300 W „hinten“' : undefined),
  tankName: (id) => (id === 'newt' ? 'Alpine newts' : undefined),
  publishedAt: (series, instant) =>
    series === 'day-ahead' && instant < at('2026-04-01T12:00Z')
      ? (-20_000 as MicroPerKwh)
      : undefined,
};
const csv = { site, format: 'csv' } as const;
const ndjson = { site, format: 'ndjson' } as const;
const midnight = (date: string): Instant => calendar.dayOf(date as LocalDate).from;

describe('a file of entries', () => {
  const slot = at('2026-03-03T12:15Z');

  test('begins with the mark and the header, and has CRLF after every line', () => {
    const text = written('entries', [entry(slot, 'heater', 75_001, { drawing: SLOT })], csv);
    expect(text).toBe(
      '\uFEFFstart_utc,start_local,device,device_name,known,energy_wh,spread_wh,divided_wh,' +
        'covered_s,drawing_s,tariff,rate,rate_name,price_per_kwh,currency\r\n' +
        '2026-03-03T12:15:00Z,2026-03-03 06:15:00,heater,"Heizstab, 300 W „hinten“",counted,' +
        '75.001,0.000,0.000,900.000,900.000,lantern,day,day,0.300000,CAD\r\n',
    );
  });

  test('has a decimal comma and semicolons where a spreadsheet wants them', () => {
    const text = written('entries', [entry(slot, 'heater', -75_001)], {
      ...csv,
      decimalComma: true,
      byteOrderMark: false,
    });
    expect(text.split('\r\n')[1]).toBe(
      '2026-03-03T12:15:00Z;2026-03-03 06:15:00;heater;"Heizstab, 300 W „hinten“";counted;' +
        '-75,001;0,000;0,000;900,000;0,000;lantern;day;day;0,300000;CAD',
    );
  });

  test('is only a header, an empty list or nothing where there is no entry', () => {
    expect(written('entries', [], csv).split('\r\n')).toHaveLength(2);
    expect(JSON.parse(written('entries', [], { site, format: 'json' }))).toEqual([]);
    expect(written('entries', [], ndjson)).toBe('');
  });

  test.each([
    ['2026-03-02T12:00Z', { tariff: null, rate: null, price_per_kwh: null }],
    ['2026-03-03T05:45Z', { tariff: null, rate: null, price_per_kwh: null }],
    ['2026-03-03T06:00Z', { tariff: 'lantern', rate: 'night', price_per_kwh: 0.1 }],
    ['2026-04-01T11:45Z', { tariff: 'spot', rate: 'slots', price_per_kwh: 0.01 }],
    ['2026-04-01T12:00Z', { tariff: 'spot', rate: 'slots', price_per_kwh: null }],
    ['2026-05-01T12:00Z', { tariff: 'steps', rate: 'flat', price_per_kwh: null }],
  ])('says of %s what a kWh costs where one price holds', (start, expected) => {
    const row = JSON.parse(written('entries', [entry(at(start), 'lamp', 1)], ndjson));
    expect(row).toMatchObject(expected);
  });

  test('finds the rate of each slot anew', () => {
    const starts = ['2026-03-03T11:45Z', '2026-03-03T12:00Z', '2026-03-04T04:00Z'].map(at);
    const text = written(
      'entries',
      starts.map((start) => entry(start, 'lamp', 1)),
      csv,
    );
    expect(cells(readBack(text, { format: 'csv' }), 'rate', 'price_per_kwh')).toEqual([
      ['night', '0.100000'],
      ['day', '0.300000'],
      ['night', '0.100000'],
    ]);
  });

  test('shows an hour that comes twice apart in UTC', () => {
    const hours = [at('2026-11-01T06:30Z'), at('2026-11-01T07:30Z')];
    const rows = readBack(
      written(
        'entries',
        hours.map((start) => entry(start, 'lamp', 1)),
        csv,
      ),
      {
        format: 'csv',
      },
    );
    expect(cells(rows, 'start_utc', 'start_local')).toEqual([
      ['2026-11-01T06:30:00Z', '2026-11-01 01:30:00'],
      ['2026-11-01T07:30:00Z', '2026-11-01 01:30:00'],
    ]);
  });

  test('is written as it is read: a year of devices never sits in memory', () => {
    let read = 0;
    function* endless(): Generator<BookedEntry> {
      for (;;) {
        read += 1;
        yield entry(later(slot, read * SLOT), 'lamp', read);
      }
    }
    const pieces = exportRows('entries', endless(), csv);
    const first = pieces.next().value as string;
    expect(first.length).toBeLessThan(20_000);
    expect(read).toBeLessThan(200);
    pieces.next();
    expect(read).toBeLessThan(400);
  });
});

describe('files of tanks and devices', () => {
  const devices = {
    heater: device('heater', 300, { plug: 'rack-1', shares: { newt: 0.5, reed: 0.5 } }),
    lamp: device('light', 80, { plug: 'rack-2', tank: 'heron' }),
  };
  const account = (date: string): Account => {
    const from = midnight(date);
    const store = memoryStore({ begins: midnight('2026-03-02') });
    store.book(entry(later(from, 40 * SLOT), 'heater', 1_000_001, { drawing: SLOT }));
    const to = calendar.dayOf(date as LocalDate).to;
    return createAccountBook(store, basisOf(calendar, tariffs, devices)).account({ from, to }, to);
  };
  const rows = (kind: 'tanks' | 'devices', date: string) =>
    readBack(
      kind === 'tanks' ? written(kind, [account(date)], csv) : written(kind, account(date), csv),
      { format: 'csv' },
    );

  test('have every tank of the day, by id and by name', () => {
    const all = rows('tanks', '2026-03-03');
    expect(cells(all, 'tank').flat()).toEqual(['heron', 'newt', 'reed', 'upkeep']);
    const [, newt, reed] = all;
    expect(newt).toMatchObject({
      day: '2026-03-03',
      tank_name: 'Alpine newts',
      energy_wh: '500.001',
      counted_wh: '500.001',
      reckoned_wh: '0.000',
      cost: '0.150000',
      provisional: 'no',
      covered_s: '900.000',
      elapsed_s: '86400.000',
      standing: '',
    });
    expect(reed).toMatchObject({ energy_wh: '500.000', tank_name: '' });
  });

  test('leave empty what nothing is known of, and never write 0 for it', () => {
    const [heron] = rows('tanks', '2026-03-03');
    expect(heron).toMatchObject({ energy_wh: '', counted_wh: '', cost: '', drawing_s: '' });
    expect(heron).toMatchObject({ covered_s: '0.000', elapsed_s: '86400.000' });
    const [, lamp] = rows('devices', '2026-03-03');
    expect(lamp).toMatchObject({ device: 'lamp', energy_wh: '', cost: '' });
  });

  test('leave the cost empty before there was a tariff, and say how much has none', () => {
    const [heater] = rows('devices', '2026-03-02');
    expect(heater).toMatchObject({
      device: 'heater',
      device_name: 'Heizstab, 300 W „hinten“',
      start_utc: '2026-03-02T06:00:00Z',
      end_local: '2026-03-03 00:00:00',
      energy_wh: '1000.001',
      unpriced_wh: '1000.001',
      cost: '',
    });
  });

  test('say that prices by blocks are not final while the month is under way', () => {
    expect(rows('devices', '2026-05-03')[0]).toMatchObject({ provisional: 'yes' });
  });

  test('have what a tank bears of the standing charges beside its cost', () => {
    const charged = compileTariffs(
      {
        lantern: {
          ...flat(0.2),
          charges: [{ name: 'meter', per_day: 0.9 }],
          standing_charges: 'tanks',
        },
      },
      calendar,
      'CAD',
    );
    const day = calendar.dayOf('2026-03-03' as LocalDate);
    const store = memoryStore({ begins: day.from });
    const book = createAccountBook(store, basisOf(calendar, charged, devices));
    const all = readBack(written('tanks', [book.account(day, day.to)], csv), { format: 'csv' });
    expect(cells(all, 'tank', 'standing')).toEqual([
      ['heron', '0.300000'],
      ['newt', '0.300000'],
      ['reed', '0.300000'],
      ['upkeep', ''],
    ]);
  });
});

test('a file of the house has what the utility says, and nothing where it says nothing', () => {
  const from = at('2026-03-03T12:00Z');
  const interval = (cost: number | undefined): HouseInterval => ({
    meter: 'main',
    from,
    to: later(from, SLOT),
    energy: 1_234_567 as MilliwattHours,
    cost: cost as MicroUnits | undefined,
    quality: 'estimated',
  });
  const rows = written('house', [interval(-10), interval(undefined)], ndjson).split('\n');
  expect(JSON.parse(rows[0] ?? '')).toEqual({
    start_utc: '2026-03-03T12:00:00Z',
    start_local: '2026-03-03 06:00:00',
    end_utc: '2026-03-03T12:15:00Z',
    end_local: '2026-03-03 06:15:00',
    meter: 'main',
    energy_wh: 1234.567,
    cost: -0.00001,
    currency: 'CAD',
    quality: 'estimated',
  });
  expect(JSON.parse(rows[1] ?? '')).toMatchObject({ cost: null });
});

test('a file of prices has them as published', () => {
  const from = at('2026-03-03T12:00Z');
  const price = -1_234 as MicroPerKwh;
  const prices = [{ series: 'day-ahead', from, to: later(from, SLOT), price }];
  expect(readBack(written('prices', prices, csv), { format: 'csv' })).toMatchObject([
    { series: 'day-ahead', start_utc: '2026-03-03T12:00:00Z', price_per_kwh: '-0.001234' },
  ]);
});

test('a file of corrections has all of them, and what became of them', () => {
  const [from, to] = [at('2026-03-03T12:00Z'), at('2026-03-03T18:00Z')];
  const correction = { device: 'heater', span: { from, to }, made: to };
  const text = written(
    'corrections',
    [
      {
        ...correction,
        number: 1,
        kind: 'void',
        energy: 0 as MilliwattHours,
        reason: '=cmd|calc',
        withdrawn: undefined,
      },
      {
        ...correction,
        number: 2,
        kind: 'book',
        energy: 5_000 as MilliwattHours,
        reason: 'plug was off;\nthe lamp was not',
        withdrawn: { at: later(to, 1500), reason: 'wrong lamp' },
      },
    ],
    csv,
  );
  expect(readBack(text, { format: 'csv' })).toMatchObject([
    { number: '1', kind: 'void', energy_wh: '', reason: "'=cmd|calc", withdrawn_utc: '' },
    {
      number: '2',
      energy_wh: '5.000',
      reason: 'plug was off;\nthe lamp was not',
      withdrawn_utc: '2026-03-03T18:00:01.500Z',
      withdrawn_local: '2026-03-03 12:00:01',
      withdrawn_reason: 'wrong lamp',
    },
  ]);
});

test('a file of notes has what meters and feeds refused, in the order of time', () => {
  const start = at('2026-03-03T12:00Z');
  const notes = {
    meters: [
      { event: 'leap-suspected', plug: 'rack-1', at: later(start, 5), before: 12.5, found: 12e9 },
      { event: 'baseline', plug: 'rack-1', at: start, before: undefined, found: 0 },
    ],
    refusals: [
      {
        reason: 'not-a-number',
        topic: 'cellar/rack-1/power',
        feed: 'rack-power',
        measure: 'power',
        source: { from: 'plug', id: 'rack-1' },
        found: '-inf',
        at: later(start, 3),
      },
    ],
  } as const;
  const rows = readBack(written('notes', notes, csv), { format: 'csv' });
  expect(cells(rows, 'of', 'reason', 'source')).toEqual([
    ['meter', 'baseline', 'rack-1'],
    ['feed', 'not-a-number', 'rack-1'],
    ['meter', 'leap-suspected', 'rack-1'],
  ]);
  expect(rows[0]).toMatchObject({ before: '', found: '0' });
  expect(rows[1]).toMatchObject({ payload: "'-inf", feed: 'rack-power', found: '' });
  expect(rows[2]).toMatchObject({ before: '12.5', found: '12000000000' });
});
