import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { compileShares, type Movable, sharesIn, UPKEEP } from '../../src/shares/index.ts';
import {
  Calendar,
  DAY,
  digest,
  type Instant,
  instant,
  type LocalDate,
  later,
  type MilliwattHours,
  SLOT,
  type Span,
  slotPieces,
} from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import { belonging, day, parts, TANKS, tankFacts } from './room.ts';

interface ListedDay {
  readonly zone: string;
  readonly date: string;
  readonly startUtc: string;
  readonly endUtc: string;
  readonly hours: number;
}

const DAYS: readonly ListedDay[] = JSON.parse(
  readFileSync(new URL('../reference/tz/local_day_lengths.json', import.meta.url), 'utf8'),
).days;

const at = (iso: string): Instant => instant(Date.parse(iso));

const helsinki = new Calendar('Europe/Helsinki');

/** A heater that hung in the reed tank and was moved on a Tuesday, in the week of a clock change. */
const MOVED: Movable = { tank: 'reed', moved: [{ on: '2026-03-24', tank: 'newt' }] };

/** What each tank gets of a device that draws steadily, booked by the slot, divided by the day. */
function drawing(watts: number, device: Movable, span: Span, calendar: Calendar) {
  const book = compileShares({ heater: device }, TANKS, calendar);
  const got: Record<string, number> = {};
  for (const { slot, from, to } of slotPieces(span.from, span.to)) {
    const energy = ((watts * (to - from)) / 3600) as MilliwattHours;
    const division = book.of('heater', calendar.day(slot).from);
    for (const [tank, part] of Object.entries(parts(energy, sharesIn(division, day(watts))))) {
      got[tank] = (got[tank] ?? 0) + part;
    }
  }
  return got;
}

describe('a heater that was moved on Tuesday', () => {
  test('splits the week: a day of it here, six there, of which Sunday has 23 hours', () => {
    const week = helsinki.week(at('2026-03-25T12:00:00Z'));
    expect(drawing(100, MOVED, week, helsinki)).toEqual({
      reed: 100 * 24 * 1000,
      newt: 100 * (5 * 24 + 23) * 1000,
    });
  });

  test('belongs to its new tank from local midnight on, not from that of Greenwich', () => {
    const book = compileShares({ heater: MOVED }, TANKS, helsinki);
    const tank = (iso: string) => {
      const division = book.of('heater', at(iso));
      return division.kind === 'fixed' && division.shares.map((share) => share.tank).join();
    };
    expect(tank('2026-03-23T21:59:59.999Z')).toBe('reed');
    expect(tank('2026-03-23T22:00:00Z')).toBe('newt');
  });

  test('splits the day of a clock change at its own midnight', () => {
    const onChange: Movable = { tank: 'reed', moved: [{ on: '2026-10-25', tank: 'newt' }] };
    const days = { from: at('2026-10-23T21:00:00Z'), to: at('2026-10-25T22:00:00Z') };
    expect(drawing(40, onChange, days, helsinki)).toEqual({
      reed: 40 * 24 * 1000,
      newt: 40 * 25 * 1000,
    });
  });

  // Chile's clocks go forward at midnight: 2025-09-07 begins at 01:00 (tz database, rule Chile).
  test('moves with the first moment of a day that has no midnight', () => {
    const santiago = new Calendar('America/Santiago');
    const device: Movable = { tank: 'reed', moved: [{ on: '2025-09-07', tank: 'newt' }] };
    const days = { from: at('2025-09-06T04:00:00Z'), to: at('2025-09-08T03:00:00Z') };
    expect(drawing(40, device, days, santiago)).toEqual({
      reed: 40 * 24 * 1000,
      newt: 40 * 23 * 1000,
    });
  });

  // Day lengths as several calendars agree on them, and a day that never was: see tests/reference/tz/SOURCE.md.
  test.each(DAYS)('gives $date in $zone, of $hours hours, whole to the new tank', (listed) => {
    const calendar = new Calendar(listed.zone);
    const device: Movable = { tank: 'reed', moved: [{ on: listed.date, tank: 'newt' }] };
    const span = {
      from: later(at(listed.startUtc), -SLOT),
      to: later(at(listed.endUtc), SLOT),
    };
    expect(drawing(60, device, span, calendar)).toEqual({
      reed: 60 * 250,
      newt: 60 * (listed.hours * 1000 + 250),
    });
  });

  test('and again on Thursday, to several tanks', () => {
    const twice: Movable = {
      ...MOVED,
      moved: [
        { on: '2026-03-24', tank: 'newt' },
        { on: '2026-03-26', divided: { by: 'volume', among: ['reed', 'heron'] } },
      ],
    };
    const week = helsinki.week(at('2026-03-25T12:00:00Z'));
    expect(drawing(80, twice, week, helsinki)).toEqual({
      reed: 80 * (24 + (3 * 24 + 23) / 4) * 1000,
      newt: 80 * 48 * 1000,
      heron: 80 * ((3 * 24 + 23) * 0.75) * 1000,
    });
  });

  const ZONES = [
    'Europe/Helsinki',
    'America/Winnipeg',
    'America/St_Johns',
    'America/Santiago',
    'America/Havana',
    'Africa/Cairo',
    'Asia/Kathmandu',
    'Asia/Tehran',
    'Australia/Lord_Howe',
    'Pacific/Chatham',
    'Pacific/Apia',
    'Pacific/Kiritimati',
  ];
  // Outside check: the local date as ICU has it, which shares no code with the calendar.
  const icu = new Map(
    ZONES.map((zone) => [
      zone,
      new Intl.DateTimeFormat('en-CA', { timeZone: zone, dateStyle: 'short' }),
    ]),
  );
  const calendars = new Map(ZONES.map((zone) => [zone, new Calendar(zone)]));

  test('is elsewhere just from the local date on, in any zone, on any day', () => {
    const moment = fc.integer({
      min: Date.UTC(2015, 0, 1) / SLOT,
      max: Date.UTC(2030, 0, 1) / SLOT,
    });
    fc.assert(
      fc.property(
        fc.constantFrom(...ZONES),
        moment,
        fc.integer({ min: -3, max: 3 }),
        (zone, slot, offset) => {
          const calendar = calendars.get(zone) as Calendar;
          const dateOf = (time: number) => icu.get(zone)?.format(time) as string;
          const now = (slot * SLOT) as Instant;
          const on = dateOf(now + offset * DAY);
          const device: Movable = { tank: 'reed', moved: [{ on, tank: 'newt' }] };
          const book = compileShares({ heater: device }, TANKS, calendar);
          const tank = dateOf(now) >= on ? 'newt' : 'reed';
          const { from } = calendar.day(now);
          expect(book.of('heater', from)).toMatchObject({ shares: [{ tank }] });
          expect(book.of('heater', now)).toEqual(book.of('heater', from));
        },
      ),
      runs(),
    );
  });
});

describe('the book of shares', () => {
  test('gives what it does not know to the upkeep', () => {
    const book = compileShares({}, TANKS, helsinki);
    expect(book.of('gone', at('2026-03-24T00:00:00Z'))).toMatchObject({
      shares: [{ tank: UPKEEP }],
    });
    expect(book.tanks).toEqual([UPKEEP]);
    expect(book.keyOf(at('2026-03-24T00:00:00Z'))).toBe(book.keyOf(at('2030-03-24T00:00:00Z')));
  });

  test('names every tank that is served at any time, once', () => {
    const book = compileShares(
      {
        blower: { divided: { by: 'outlets', outlets: { zebra: 2, heron: 1 } } },
        stove: { divided: { by: 'heat-need', among: ['newt', 'heron'], room_without_c: 12 } },
        heater: { tank: 'reed', moved: [{ on: '2031-01-01', tank: 'attic' }] },
      },
      TANKS,
      helsinki,
    );
    expect(book.tanks).toEqual(['attic', 'heron', 'newt', 'reed', UPKEEP, 'zebra']);
  });

  const keyOf = (
    devices: Readonly<Record<string, Movable>>,
    date = '2026-03-24',
    tanks = TANKS,
  ): string =>
    compileShares(devices, tanks, helsinki).keyOf(helsinki.dayOf(date as LocalDate).from);

  test('has another key from the day of a move on, and the same until the next one', () => {
    const devices = { lamp: { tank: 'heron' }, heater: MOVED };
    expect(keyOf(devices, '2026-03-23')).toBe(keyOf(devices, '2020-01-01'));
    expect(keyOf(devices, '2026-03-24')).not.toBe(keyOf(devices, '2026-03-23'));
    expect(keyOf(devices, '2026-03-24')).toBe(keyOf(devices, '2027-01-01'));
  });

  test('has the key of what holds, however the file comes to say so', () => {
    const late = { heater: { tank: 'newt' }, lamp: { tank: 'heron' } };
    const moved = { lamp: { tank: 'heron' }, heater: MOVED };
    expect(keyOf(late)).toBe(keyOf(moved));
    expect(keyOf(late, '2026-03-23')).not.toBe(keyOf(moved, '2026-03-23'));
  });

  test('has another key when a tank that a rule goes by has another size, and only then', () => {
    const larger = { ...TANKS, reed: { volume_l: 61, lossWPerK: 4, keptC: 25 } };
    const byVolume: Movable = { divided: { by: 'volume', among: ['reed', 'heron'] } };
    expect(keyOf({ stirrer: byVolume }, undefined, larger)).not.toBe(keyOf({ stirrer: byVolume }));
    expect(keyOf({ heater: MOVED }, undefined, larger)).toBe(keyOf({ heater: MOVED }));
  });

  test('has equal keys for equal divisions of every device, and other ones for others', () => {
    const devices = fc.dictionary(fc.constantFrom('lamp', 'pump', 'stove'), belonging);
    fc.assert(
      fc.property(devices, devices, tankFacts, (one, other, tanks) => {
        const [a, b] = [one, other].map((all) => compileShares(all, tanks, helsinki));
        const today = helsinki.dayOf('2026-03-24' as LocalDate).from;
        const divisions = [one, other].map((all, index) =>
          Object.keys(all)
            .sort()
            .map((id) => [id, (index === 0 ? a : b)?.of(id, today)]),
        );
        const same = JSON.stringify(divisions[0]) === JSON.stringify(divisions[1]);
        expect(a?.keyOf(today) === b?.keyOf(today)).toBe(same);
        expect(keyOf(Object.fromEntries(Object.entries(one).reverse()), undefined, tanks)).toBe(
          a?.keyOf(today),
        );
      }),
      runs(),
    );
  });

  // Fowler, Noll and Vo's own test vectors, as draft-eastlake-fnv prints them (from memory).
  test.each([
    ['', 'cbf29ce484222325'],
    ['a', 'af63dc4c8601ec8c'],
    ['foobar', '85944171f73967e8'],
  ])('digests %j as published', (text, hash) => {
    expect(digest(text)).toBe(hash);
  });
});
