import fc from 'fast-check';
import { DateTime } from 'luxon';
import { describe, expect, test } from 'vitest';
import type { DeviceConfig } from '../../src/books/config.ts';
import { type DevicePosting, reckon, reckonable } from '../../src/books/index.ts';
import {
  Calendar,
  DAY,
  HOUR,
  type Instant,
  instant,
  type LocalDate,
  MINUTE,
  SLOT,
  type Span,
} from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import { at, device } from './fish-room.ts';

const winnipeg = new Calendar('America/Winnipeg');
const berlin = new Calendar('Europe/Berlin');
const reckoned = (config: DeviceConfig, { from, to }: Span, calendar = winnipeg) =>
  reckon(reckonable('it', config, calendar), from, to);
const sum = (postings: readonly DevicePosting[], of: 'energy' | 'covered' | 'drawing'): number =>
  postings.reduce((total, posting) => total + posting[of], 0);
const kwh = (postings: readonly DevicePosting[]): number => sum(postings, 'energy') / 1e6;

const april: Span = winnipeg.month(at('2026-04-15T12:00Z')); // 30 days, no clock change

// Common practice, no source: P watts for h hours a day over 30 days are P·h·30/1000 kWh.
describe('a month of thirty days (common practice, no source)', () => {
  const eightHours = [{ from: '09:00', to: '17:00' }];
  test.each([
    ['two 40 W tubes for 8 h a day', device('light', 80, { schedule: eightHours }), 19.2],
    [
      'two 18 W lamps for 8 h a day, with a break at midday',
      device('light', 36, {
        schedule: [
          { from: '08:00', to: '12:00' },
          { from: '15:00', to: '19:00' },
        ],
      }),
      8.64,
    ],
    ['a 14 W filter round the clock', device('filter', 14), 10.08],
    ['a 1,500 W trough heater round the clock', device('heater', 1500, { duty: 1 }), 1080],
    ['a 150 W heater, a third of the time', device('heater', 150), 36],
    ['a 100 W heater, a third of the time', device('heater', 100), 24],
    ['a 1,500 W room heater, a third of the time', device('room-heater', 1500), 360],
    ['a 90 W chiller, a third of the time', device('chiller', 90), 21.6],
    ['a 21 W heat mat, a third of the time', device('heat-mat', 21), 5.04],
    ['a 200 W heater told to run a fifth of the time', device('heater', 200, { duty: 0.2 }), 28.8],
    [
      'a lamp over midnight',
      device('light', 50, { schedule: [{ from: '20:00', to: '02:00' }] }),
      9,
    ],
  ])('%s', (_, config, expected) => {
    expect(april.to - april.from).toBe(30 * DAY);
    expect(kwh(reckoned(config, april))).toBe(expected);
  });
});

describe('days on which the clocks change', () => {
  const always = device('pump', 100);
  test.each([
    ['2026-03-29', 23, 2.3],
    ['2026-10-25', 25, 2.5],
    ['2026-06-15', 24, 2.4],
  ])('100 W all day on %s, %d hours long, are %d kWh', (date, hours, expected) => {
    const day = berlin.dayOf(date as LocalDate);
    const postings = reckoned(always, day, berlin);
    expect(postings).toHaveLength(hours * 4);
    expect(kwh(postings)).toBe(expected);
    expect(sum(postings, 'covered')).toBe(hours * HOUR);
  });

  test.each([
    ['2026-03-29', 0],
    ['2026-10-25', 0.2],
    ['2026-06-15', 0.1],
  ])('a timer from 02:00 to 03:00 follows the wall clock on %s', (date, expected) => {
    const timed = device('light', 100, { schedule: [{ from: '02:00', to: '03:00' }] });
    expect(kwh(reckoned(timed, berlin.dayOf(date as LocalDate), berlin))).toBe(expected);
  });

  test('Lord Howe sets its clocks back by half an hour', () => {
    const lordHowe = new Calendar('Australia/Lord_Howe');
    const day = lordHowe.dayOf('2026-04-05' as LocalDate);
    expect(kwh(reckoned(always, day, lordHowe))).toBe(2.45);
  });
});

describe('each slot', () => {
  test('of an off time is known to hold nothing', () => {
    const lamp = device('light', 40, { schedule: [{ from: '10:00', to: '11:00' }] });
    const [first, ...others] = reckoned(lamp, winnipeg.dayOf('2026-05-02' as LocalDate));
    expect(first).toEqual({
      device: 'it',
      slot: at('2026-05-02T05:00Z'),
      known: 'reckoned',
      energy: 0,
      spread: 0,
      covered: SLOT,
      drawing: 0,
    });
    expect(others.filter(({ energy }) => energy > 0)).toHaveLength(4);
    expect(sum(others, 'drawing')).toBe(HOUR);
  });

  test('may hold a part of the schedule', () => {
    const lamp = device('light', 60, { schedule: [{ from: '10:05', to: '10:20' }] });
    const slots = reckoned(lamp, {
      from: at('2026-05-02T15:00Z'),
      to: at('2026-05-02T15:30Z'),
    });
    expect(slots.map(({ energy }) => energy)).toEqual([10_000, 5_000]);
  });

  test('windows that cross count once', () => {
    const schedule = [
      { from: '08:00', to: '12:00' },
      { from: '10:00', to: '14:00' },
      { from: '14:00', to: '15:00' },
    ];
    const day = winnipeg.dayOf('2026-05-02' as LocalDate);
    expect(kwh(reckoned(device('light', 100, { schedule }), day))).toBe(0.7);
  });
});

test('reckoning ends with the last local day a device was in use', () => {
  const config = device('filter', 10, { until: '2026-04-10' });
  expect(kwh(reckoned(config, april))).toBe(2.4);
  expect(reckoned(config, { from: at('2026-04-11T05:00Z'), to: april.to })).toEqual([]);
  expect(sum(reckoned(config, { from: at('2026-04-11T04:00Z'), to: april.to }), 'covered')).toBe(
    HOUR,
  );
});

describe('where reckoning begins', () => {
  test('nothing is reckoned before the local day it is told to begin on', () => {
    const config = device('filter', 10, { reckon_from: '2026-04-30' });
    const postings = reckoned(config, april);
    expect(postings[0]?.slot).toBe(at('2026-04-30T05:00Z'));
    expect(postings).toHaveLength(96);
  });

  test('no time holds nothing', () => {
    expect(reckoned(device('filter', 10), { from: april.from, to: april.from })).toEqual([]);
    expect(reckoned(device('filter', 10), { from: april.to, to: april.from })).toEqual([]);
  });
});

const wallTime = fc
  .integer({ min: 0, max: 1439 })
  .map((minute) => DateTime.fromMillis(minute * MINUTE, { zone: 'utc' }).toFormat('HH:mm'));
const schedule = fc.array(fc.record({ from: wallTime, to: wallTime }), {
  minLength: 1,
  maxLength: 4,
});
const someDevice = fc
  .record({
    nameplate_w: fc.double({ min: 0.1, max: 3000, noNaN: true }),
    duty: fc.option(fc.double({ min: 0, max: 1, noNaN: true }), { nil: undefined }),
    schedule: fc.option(schedule, { nil: undefined }),
    kind: fc.constantFrom('heater' as const, 'light' as const, 'pump' as const),
  })
  .map(({ kind, nameplate_w, duty, schedule: hours }) =>
    device(kind, nameplate_w, {
      ...(duty === undefined ? {} : { duty }),
      ...(hours === undefined ? {} : { schedule: hours }),
    }),
  );
const zone = fc.constantFrom('America/Winnipeg', 'Europe/Berlin', 'Australia/Lord_Howe');
// Around the clock changes of all three zones.
const moment = fc
  .integer({ min: Date.UTC(2026, 2, 1), max: Date.UTC(2026, 3, 10) })
  .map((ms) => instant(ms));

function bySlot(postings: readonly DevicePosting[]): Map<Instant, number[]> {
  const slots = new Map<Instant, number[]>();
  for (const { slot, energy, covered, drawing } of postings) {
    const [e, c, d] = slots.get(slot) ?? [0, 0, 0];
    slots.set(slot, [(e ?? 0) + energy, (c ?? 0) + covered, (d ?? 0) + drawing]);
  }
  return slots;
}

describe('however a time is cut', () => {
  test('each of its slots holds the same to the mWh and millisecond', () => {
    const lengths = fc.array(fc.integer({ min: 0, max: DAY }), { minLength: 1, maxLength: 5 });
    fc.assert(
      fc.property(someDevice, zone, moment, lengths, (config, name, from, steps) => {
        const it = reckonable('it', config, new Calendar(name));
        let to = from;
        const parts = steps.flatMap((step) => {
          const start = to;
          to = instant(start + step);
          return reckon(it, start, to);
        });
        expect(bySlot(parts)).toEqual(bySlot(reckon(it, from, to)));
      }),
      runs(),
    );
  });

  test('its seconds may come one by one', () => {
    const it = reckonable('it', device('heater', 77.7), winnipeg);
    const from = at('2026-03-08T07:40:00.123Z');
    const parts: DevicePosting[] = [];
    for (let second = 0; second < 3600; second += 1) {
      parts.push(...reckon(it, instant(from + second * 1000), instant(from + (second + 1) * 1000)));
    }
    expect(bySlot(parts)).toEqual(bySlot(reckon(it, from, instant(from + HOUR))));
  });
});

test('a slot holds nameplate × duty × the minutes that luxon has on schedule', () => {
  fc.assert(
    fc.property(someDevice, zone, moment, (config, name, ms) => {
      const slot = instant(Math.floor(ms / SLOT) * SLOT);
      const calendar = new Calendar(name);
      const [posting] = reckon(reckonable('it', config, calendar), slot, instant(slot + SLOT));
      let minutes = 0;
      for (let minute = slot as number; minute < slot + SLOT; minute += MINUTE) {
        const now = DateTime.fromMillis(minute, { zone: name }).toFormat('HH:mm');
        const on = (config.schedule ?? [{ from: '00:00', to: '24:00' }]).some(({ from, to }) =>
          from < to ? from <= now && now < to : now >= from || now < to,
        );
        minutes += on ? 1 : 0;
      }
      const duty = config.duty ?? (config.kind === 'heater' ? 1 / 3 : 1);
      const exact = (config.nameplate_w * duty * minutes * 1000) / 60;
      expect(Math.abs((posting?.energy ?? Number.NaN) - exact)).toBeLessThanOrEqual(1.000001);
      expect(posting?.covered).toBe(SLOT);
    }),
    runs(),
  );
});
