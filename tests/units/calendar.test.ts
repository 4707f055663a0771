import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { DateTime } from 'luxon';
import { describe, expect, test } from 'vitest';
import {
  Calendar,
  HOUR,
  type Instant,
  instant,
  type LocalDate,
  SLOT,
  slotOf,
  slotPieces,
} from '../../src/units/index.ts';
import { runs } from './runs.ts';

const at = (iso: string): Instant => instant(Date.parse(iso));

interface ReferenceDay {
  zone: string;
  date: LocalDate;
  startUtc: string;
  endUtc: string;
  hours: number;
  slots15: number;
}

// Source: tests/reference/tz/SOURCE.md (IANA Time Zone Database, three engines).
const { days } = JSON.parse(
  readFileSync(new URL('../reference/tz/local_day_lengths.json', import.meta.url), 'utf8'),
) as { days: ReferenceDay[] };

describe('local days of the reference', () => {
  test('there are 23 of them', () => {
    expect(days).toHaveLength(23);
  });

  test.each(days)('$zone $date has $hours hours and $slots15 slots', (day) => {
    const span = new Calendar(day.zone).dayOf(day.date);
    expect(span).toEqual({ from: at(day.startUtc), to: at(day.endUtc) });
    expect((span.to - span.from) / HOUR).toBe(day.hours);
    expect([...slotPieces(span.from, span.to)]).toHaveLength(day.slots15);
  });

  test.each(days.filter(({ hours }) => hours > 0))(
    'every slot of $zone $date is local to that date',
    (day) => {
      const calendar = new Calendar(day.zone);
      const { from, to } = calendar.dayOf(day.date);
      for (const { slot } of slotPieces(from, to)) {
        expect(calendar.local(slot).date).toBe(day.date);
        expect(calendar.day(slot)).toEqual({ from, to });
      }
      expect(calendar.dates({ from, to })).toEqual([day.date]);
    },
  );
});

const ZONES = [
  'America/Winnipeg',
  'America/New_York',
  'America/Phoenix',
  'America/Santiago',
  'America/Sao_Paulo',
  'America/Caracas',
  'Europe/Berlin',
  'Europe/London',
  'Europe/Moscow',
  'Europe/Istanbul',
  'Africa/Cairo',
  'Africa/Casablanca',
  'Asia/Kathmandu',
  'Asia/Kolkata',
  'Asia/Tehran',
  'Asia/Tokyo',
  'Australia/Lord_Howe',
  'Australia/Sydney',
  'Pacific/Apia',
  'Pacific/Chatham',
];

const zone = fc.constantFrom(...ZONES);
const moment = fc
  .integer({ min: Date.UTC(1990, 0, 2), max: Date.UTC(2037, 11, 30) })
  .map((ms) => instant(ms));

const calendars = new Map(ZONES.map((name) => [name, new Calendar(name)]));
const calendarOf = (name: string): Calendar => calendars.get(name) as Calendar;
const luxonStart = (local: DateTime, unit: 'day' | 'week' | 'month'): number =>
  local.startOf(unit).toMillis();

describe('the calendar against luxon, 1990 to 2037', () => {
  test('agrees on date, month, weekday and minute at the start of a slot', () => {
    fc.assert(
      fc.property(zone, moment, (name, ms) => {
        const local = DateTime.fromMillis(slotOf(ms), { zone: name });
        expect(calendarOf(name).local(ms)).toEqual({
          date: local.toISODate(),
          month: local.month,
          weekday: local.weekday,
          minute: local.hour * 60 + local.minute,
        });
        expect(calendarOf(name).dateAt(ms)).toBe(
          DateTime.fromMillis(ms, { zone: name }).toISODate(),
        );
      }),
      runs(4_000),
    );
  });

  test('agrees on where the day, the ISO week and the month begin and end', () => {
    fc.assert(
      fc.property(zone, moment, (name, ms) => {
        const calendar = calendarOf(name);
        const local = DateTime.fromMillis(ms, { zone: name });
        // luxon starts the day that Apia skipped, 2011-12-30, at another instant: see SOURCE.md.
        fc.pre(!(name === 'Pacific/Apia' && /^201(1-12|2-01)/.test(local.toISODate() ?? '')));
        for (const unit of ['day', 'week', 'month'] as const) {
          const span = calendar[unit](ms);
          expect(span.from).toBe(luxonStart(local, unit));
          expect(span.to).toBe(luxonStart(local.startOf(unit).plus({ [unit]: 1 }), unit));
        }
      }),
      runs(2_000),
    );
  });

  test('days follow each other without hole or overlap, and hold what they are asked for', () => {
    fc.assert(
      fc.property(zone, moment, (name, ms) => {
        const calendar = calendarOf(name);
        const day = calendar.day(ms);
        expect(day.from <= ms && ms < day.to).toBe(true);
        expect(calendar.day(day.to).from).toBe(day.to);
        expect(calendar.day(instant(day.from - 1)).to).toBe(day.from);
        expect(day.from % SLOT).toBe(0);
      }),
      runs(),
    );
  });

  test('stretches cut a span at its clock changes, each with the offset that luxon gives', () => {
    fc.assert(
      fc.property(zone, moment, fc.integer({ min: 1, max: 500 * 24 }), (name, from, hours) => {
        const span = { from, to: instant(from + hours * HOUR) };
        const stretches = calendarOf(name).stretches(span);
        expect(stretches[0]?.from).toBe(span.from);
        expect(stretches.at(-1)?.to).toBe(span.to);
        stretches.forEach((stretch, index) => {
          if (index > 0) expect(stretch.from).toBe(stretches[index - 1]?.to);
          for (const inside of [stretch.from, stretch.to - 1]) {
            expect(DateTime.fromMillis(inside, { zone: name }).offset * 60_000).toBe(
              stretch.offset,
            );
          }
        });
      }),
      runs(500),
    );
  });
});

describe('billing months', () => {
  const winnipeg = new Calendar('America/Winnipeg');
  test.each([
    ['2026-01-17T06:00:00Z', 17, '2026-01-17', '2026-02-17'], // local midnight of the reading day
    ['2026-01-17T05:59:00Z', 17, '2025-12-17', '2026-01-17'], // a minute before it
    ['2026-03-20T12:00:00Z', 1, '2026-03-01', '2026-04-01'],
    ['2026-02-28T12:00:00Z', 31, '2026-02-28', '2026-03-31'], // February has no 31st
    ['2026-03-30T12:00:00Z', 31, '2026-02-28', '2026-03-31'],
    ['2026-01-05T12:00:00Z', 10, '2025-12-10', '2026-01-10'], // over the new year
  ])('%s, read on day %i, is billed from %s to %s', (moment, day, from, to) => {
    expect(winnipeg.billingMonth(at(moment), day)).toEqual({
      from: winnipeg.dayOf(from as LocalDate).from,
      to: winnipeg.dayOf(to as LocalDate).from,
    });
  });

  test('they follow each other without hole or overlap, whatever the day and the zone', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...ZONES),
        fc.integer({ min: 1, max: 31 }),
        fc.integer({ min: Date.UTC(1995, 0, 1), max: Date.UTC(2040, 0, 1) }),
        (zone, day, ms) => {
          const calendar = new Calendar(zone);
          const moment = instant(ms);
          const month = calendar.billingMonth(moment, day);
          expect(month.from).toBeLessThanOrEqual(moment);
          expect(month.to).toBeGreaterThan(moment);
          expect(calendar.billingMonth(month.to, day).from).toBe(month.to);
          const begins = DateTime.fromMillis(month.from, { zone });
          expect(begins.day).toBe(Math.min(day, begins.daysInMonth ?? 0));
        },
      ),
      runs(300),
    );
  });
});

describe('days that the law made odd', () => {
  test('Apia went from 29 to 31 December 2011: the 30th is empty, and no span touches it', () => {
    const apia = new Calendar('Pacific/Apia');
    const skipped = apia.dayOf('2011-12-30' as LocalDate);
    expect(skipped.from).toBe(skipped.to);
    const eve = apia.dayOf('2011-12-29' as LocalDate);
    const after = apia.dayOf('2011-12-31' as LocalDate);
    expect(eve.to).toBe(after.from);
    expect(apia.dates({ from: eve.from, to: after.to })).toEqual(['2011-12-29', '2011-12-31']);
    expect(apia.week(eve.from).to - apia.week(eve.from).from).toBe(6 * 24 * HOUR);
  });

  // St. John's set its clocks back at 00:01 until 2011, so that the old date came back for 59 min.
  test('an hour that shows the old date again belongs to the day already begun', () => {
    const calendar = new Calendar('America/St_Johns');
    const again = at('2010-11-07T02:45:00Z'); // 23:15 on the 6th, for the second time
    expect(calendar.local(again)).toMatchObject({ date: '2010-11-06', minute: 23 * 60 + 15 });
    expect(calendar.day(again)).toEqual(calendar.dayOf('2010-11-07' as LocalDate));
  });
});

describe('what a calendar refuses', () => {
  test('a zone that is none', () => {
    expect(() => new Calendar('Europe/Atlantis')).toThrow(
      expect.objectContaining({ code: 'AMP_CALENDAR_ZONE' }),
    );
  });

  test('a date that the calendar does not have', () => {
    const calendar = new Calendar('Europe/Berlin');
    expect(() => calendar.dayOf('2026-02-30' as LocalDate)).toThrow(
      expect.objectContaining({ code: 'AMP_CALENDAR_DATE' }),
    );
  });
});
