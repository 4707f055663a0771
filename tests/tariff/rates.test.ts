import fc from 'fast-check';
import { DateTime } from 'luxon';
import { describe, expect, test } from 'vitest';
import { compileTariffs } from '../../src/tariff/index.ts';
import {
  Calendar,
  cost,
  type Instant,
  instant,
  type LocalDate,
  milliwattHours,
  SLOT,
  slotPieces,
} from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import { fixedPrice, flat, lanternHollow, period, timeOfUse } from './tariffs.ts';

const at = (iso: string): Instant => instant(Date.parse(iso));
const winnipeg = new Calendar('America/Winnipeg');
const berlin = new Calendar('Europe/Berlin');

describe('a flat tariff', () => {
  test('has one rate, whose price is kept to the micro-unit', () => {
    const book = compileTariffs({ plain: flat(0.123456) }, winnipeg, 'EUR');
    expect(book.rates).toEqual([
      {
        key: 'plain/flat',
        id: 'flat',
        name: 'flat',
        tariff: 'plain',
        price: { kind: 'fixed', perKwh: 123_456 },
      },
    ]);
    expect(book.rateAt(at('2026-05-01T12:00Z'))).toBe(book.rates[0]);
  });

  test('is called by its own name where it has one', () => {
    const named = { ...flat(0.1), name: 'Lantern Hollow Basic' };
    expect(compileTariffs({ basic: named }, winnipeg, 'EUR').rates[0]?.name).toBe(
      'Lantern Hollow Basic',
    );
  });

  // 9.6 kWh × 0.2375 = 2.28, worked by hand.
  test('costs kilowatt-hours times price', () => {
    const rate = compileTariffs({ plain: flat(0.2375) }, winnipeg, 'EUR').rates[0];
    expect(cost(milliwattHours(9_600_000), fixedPrice(rate))).toBe(2_280_000);
  });

  test('may pay for use: a price below zero stays below zero', () => {
    const rate = compileTariffs({ windy: flat(-0.0135) }, berlin, 'EUR').rates[0];
    expect(cost(milliwattHours(2_000_000), fixedPrice(rate))).toBe(-27_000);
  });
});

describe('tariffs in sequence', () => {
  const book = compileTariffs(
    {
      'from-july': flat(0.25, '2026-07-01'),
      first: flat(0.2, '2026-01-15'),
    },
    winnipeg,
    'EUR',
  );

  test('have no rate before the first', () => {
    expect(book.rateAt(at('2026-01-15T05:59:59Z'))).toBeUndefined();
    expect(book.begins).toBe(at('2026-01-15T06:00Z'));
  });

  test('change at local midnight', () => {
    expect(book.rateAt(at('2026-01-15T06:00Z'))?.tariff).toBe('first');
    expect(book.rateAt(at('2026-07-01T04:45Z'))?.tariff).toBe('first');
    expect(book.rateAt(at('2026-07-01T05:00Z'))?.tariff).toBe('from-july');
  });

  test('each know from when to when they hold', () => {
    const [first, second] = book.tariffs;
    expect([first?.id, first?.from, first?.to]).toEqual(['first', book.begins, second?.from]);
    expect([second?.id, second?.to]).toEqual(['from-july', undefined]);
    expect(book.tariffAt(at('2026-01-15T05:59:59Z'))).toBeUndefined();
    expect(book.tariffAt(at('2026-07-01T04:59:59Z'))).toBe(first);
    expect(book.tariffAt(at('2026-07-01T05:00Z'))).toBe(second);
  });

  test('list their rates in order of date', () => {
    expect(book.rates.map(({ tariff }) => tariff)).toEqual(['first', 'from-july']);
  });

  test('of which there is none leave everything without a price', () => {
    const none = compileTariffs({}, winnipeg, 'EUR');
    expect(none.rateAt(at('2026-07-01T05:00Z'))).toBeUndefined();
    expect(none.begins).toBeUndefined();
  });
});

describe('time of use', () => {
  const book = compileTariffs({ lantern: lanternHollow }, winnipeg, 'EUR');
  const rateAt = (local: string): string | undefined =>
    book.rateAt(instant(DateTime.fromISO(local, { zone: 'America/Winnipeg' }).toMillis()))?.id;

  test.each([
    ['2026-05-11T05:45', 'night', 'Monday, the last quarter-hour of the night'],
    ['2026-05-11T06:00', 'day', 'Monday morning'],
    ['2026-05-15T21:45', 'day', 'Friday, the last quarter-hour of the day'],
    ['2026-05-15T22:00', 'night', 'Friday night'],
    ['2026-05-16T00:00', 'weekend', 'Saturday has begun'],
    ['2026-05-17T23:45', 'weekend', 'Sunday, to the last'],
    ['2026-05-18T00:00', 'night', 'Monday has begun'],
  ])('at %s it is %s: %s', (local, expected) => {
    expect(rateAt(local)).toBe(expected);
  });

  test('any moment within a slot has the rate of the slot', () => {
    const slot = at('2026-05-11T11:00Z'); // 06:00 in Winnipeg
    expect(book.rateAt(instant(slot + SLOT - 1))).toBe(book.rateAt(slot));
  });

  // One weekday by hand, a steady 400 W: 16 h of day = 6.4 kWh × 0.3125 = 2.00;
  // 8 h of night = 3.2 kWh × 0.1875 = 0.60; together 2.60.
  test('a steady 400 W on a weekday costs 2.60', () => {
    expect(dayCost('2026-05-13')).toBe(2_600_000);
  });

  // Clocks go forward on Sunday 8 March 2026: 23 h, all weekend: 9.2 kWh × 0.15 = 1.38.
  test('and 1.38 on the short Sunday in March', () => {
    expect(dayCost('2026-03-08')).toBe(1_380_000);
  });

  function dayCost(date: string): number {
    const { from, to } = winnipeg.dayOf(date as LocalDate);
    let sum = 0;
    for (const { slot } of slotPieces(from, to)) {
      sum += cost(milliwattHours(100_000), fixedPrice(book.rateAt(slot)));
    }
    return sum;
  }
});

describe('time of use when the clocks change', () => {
  const halves = timeOfUse({ early: 0.4, small: 0.1, late: 0.2 }, [
    period('early', '00:00', '02:00'),
    period('small', '02:00', '03:00'),
    period('late', '03:00', '24:00'),
  ]);
  const slotsOf = (calendar: Calendar, date: string): Record<string, number> => {
    const book = compileTariffs({ halves }, calendar, 'EUR');
    const { from, to } = calendar.dayOf(date as LocalDate);
    const slots: Record<string, number> = {};
    for (const { slot } of slotPieces(from, to)) {
      const id = book.rateAt(slot)?.id ?? 'none';
      slots[id] = (slots[id] ?? 0) + 1;
    }
    return slots;
  };

  test('the hour that is shown twice is charged alike both times', () => {
    // Berlin, 25 October 2026: 02:00–03:00 comes twice.
    expect(slotsOf(berlin, '2026-10-25')).toEqual({ early: 8, small: 8, late: 84 });
  });

  test('the hour that is skipped is not charged', () => {
    expect(slotsOf(berlin, '2026-03-29')).toEqual({ early: 8, late: 84 });
  });

  test('Lord Howe goes back by half an hour: 01:30–02:00 comes twice', () => {
    expect(slotsOf(new Calendar('Australia/Lord_Howe'), '2026-04-05')).toEqual({
      early: 10,
      small: 4,
      late: 84,
    });
  });

  test('a zone at UTC+5:45 changes rate on its own hours', () => {
    const kathmandu = new Calendar('Asia/Kathmandu');
    expect(slotsOf(kathmandu, '2026-01-01')).toEqual({ early: 8, small: 4, late: 84 });
    const book = compileTariffs({ halves }, kathmandu, 'EUR');
    expect(book.rateAt(at('2025-12-31T20:00Z'))?.id).toBe('early'); // 01:45
    expect(book.rateAt(at('2025-12-31T20:15Z'))?.id).toBe('small'); // 02:00
  });
});

describe('time of use against luxon', () => {
  const zone = fc.constantFrom(
    'America/Winnipeg',
    'Australia/Lord_Howe',
    'Asia/Kathmandu',
    'America/St_Johns',
    'Pacific/Chatham',
    'Europe/Berlin',
  );
  const books = new Map(
    ['America/Winnipeg', 'Australia/Lord_Howe', 'Asia/Kathmandu', 'America/St_Johns']
      .concat(['Pacific/Chatham', 'Europe/Berlin'])
      .map((name) => [name, compileTariffs({ lantern: lanternHollow }, new Calendar(name), 'EUR')]),
  );
  const moment = fc.integer({ min: Date.UTC(2020, 0, 3), max: Date.UTC(2037, 11, 30) });

  test('each slot has the rate of its weekday and wall clock', () => {
    fc.assert(
      fc.property(zone, moment, (name, ms) => {
        const slot = Math.floor(ms / SLOT) * SLOT;
        const { weekday, hour } = DateTime.fromMillis(slot, { zone: name });
        const workday = hour >= 6 && hour < 22 ? 'day' : 'night';
        expect(books.get(name)?.rateAt(instant(ms))?.id).toBe(weekday > 5 ? 'weekend' : workday);
      }),
      runs(2_000),
    );
  });
});
