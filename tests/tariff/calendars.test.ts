import fc from 'fast-check';
import { DateTime } from 'luxon';
import { expect, test } from 'vitest';
import type { TariffInput } from '../../src/tariff/config.ts';
import { compileTariffs, type TariffBook } from '../../src/tariff/index.ts';
import { Calendar, instant, SLOT } from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import { tariffOf } from './tariffs.ts';

/** Both hemispheres, half and quarter hours, half an hour of daylight saving, and none. */
const ZONES = [
  ...['America/Winnipeg', 'America/New_York', 'America/St_Johns', 'America/Sao_Paulo'],
  ...['America/Santiago', 'America/Phoenix', 'Atlantic/Azores', 'Europe/London', 'Europe/Dublin'],
  ...['Europe/Berlin', 'Europe/Helsinki', 'Africa/Johannesburg', 'Asia/Kolkata', 'Asia/Kathmandu'],
  ...['Asia/Tokyo', 'Australia/Adelaide', 'Australia/Lord_Howe', 'Australia/Sydney'],
  ...['Pacific/Auckland', 'Pacific/Chatham'],
];
const CALENDARS = new Map(ZONES.map((zone) => [zone, new Calendar(zone)]));
const DAY_NAMES = [
  ...(['monday', 'tuesday', 'wednesday', 'thursday', 'friday', 'saturday', 'sunday'] as const),
  'holiday' as const,
];

type DayName = (typeof DAY_NAMES)[number];
type Energy = Extract<TariffInput['energy'], { kind: 'time-of-use' }>;

/** A tariff as it was thought up, from which both the file and the plain look-up are made. */
interface Plan {
  readonly clock: 'local' | 'standard';
  /** First days of the seasons, 'MM-DD', in order. */
  readonly begins: readonly string[];
  readonly holidays: readonly string[];
  readonly like: 'sunday' | 'saturday' | 'own';
  /** For each season, which group of hours each kind of day belongs to. */
  readonly groups: readonly (readonly number[])[];
  /** For each season and group, the quarter-hours at which the rate changes. */
  readonly changes: readonly (readonly (readonly number[])[])[];
}

const leapYear = (day: number): DateTime => DateTime.utc(2024, 1, 1).plus({ days: day });
const GROUPS = 3;

const plan: fc.Arbitrary<Plan> = fc
  .uniqueArray(fc.integer({ min: 0, max: 365 }), { minLength: 1, maxLength: 4 })
  .chain((days) => {
    const seasons = { minLength: days.length, maxLength: days.length };
    const groups = { minLength: DAY_NAMES.length, maxLength: DAY_NAMES.length };
    const changes = fc
      .uniqueArray(fc.integer({ min: 1, max: 95 }), { maxLength: 4 })
      .map((list) => list.sort((a, b) => a - b));
    const holiday = fc
      .tuple(fc.integer({ min: 2020, max: 2037 }), fc.integer({ min: 1, max: 365 }))
      .map(([year, ordinal]) => DateTime.utc(year, 1, 1).set({ ordinal }).toISODate() ?? '');
    return fc.record({
      clock: fc.constantFrom('local', 'standard'),
      begins: fc.constant(days.sort((a, b) => a - b).map((day) => leapYear(day).toFormat('MM-dd'))),
      holidays: fc.uniqueArray(holiday, { maxLength: 10 }),
      like: fc.constantFrom('sunday', 'saturday', 'own'),
      groups: fc.array(fc.array(fc.nat({ max: GROUPS - 1 }), groups), seasons),
      changes: fc.array(fc.array(changes, { minLength: GROUPS, maxLength: GROUPS }), seasons),
    });
  });

const wall = (quarter: number): string =>
  `${String(Math.floor(quarter / 4)).padStart(2, '0')}:${String((quarter % 4) * 15).padStart(2, '0')}`;
const seasonName = (index: number): string => `season-${index}`;
/** Every season, group and run of hours has a rate of its own, so that no mistake hides. */
const rateName = (season: number, group: number, run: number): string =>
  `r${season}-${group}-${run}`;

function inputOf({ clock, begins, holidays, like, groups, changes }: Plan): Energy {
  const rates: Energy['rates'] = {};
  const periods: Energy['periods'] = [];
  changes.forEach((ofSeason, season) => {
    ofSeason.forEach((cuts, group) => {
      const days = DAY_NAMES.filter(
        (name, index) =>
          groups[season]?.[index] === group && (name !== 'holiday' || like === 'own'),
      );
      if (days.length === 0) return;
      [0, ...cuts].forEach((from, run) => {
        const rate = rateName(season, group, run);
        rates[rate] = { price_per_kwh: 0.1 };
        const to = wall(cuts[run] ?? 96);
        periods.push({ rate, season: seasonName(season), days, from: wall(from), to });
      });
    });
  });
  const seasons = begins.map((from, index) => {
    const next = begins[(index + 1) % begins.length] ?? from;
    const to = DateTime.fromFormat(`2024-${next}`, 'yyyy-MM-dd', { zone: 'utc' }).minus({
      days: 1,
    });
    return [seasonName(index), { from, to: to.toFormat('MM-dd') }];
  });
  return {
    kind: 'time-of-use',
    clock,
    rates,
    periods,
    seasons: Object.fromEntries(seasons),
    holidays: { dates: [...holidays], like },
  };
}

/** The rate by luxon and by looking, without any table. */
function plainRate(of: Plan, zone: string, ms: number): string {
  const local = DateTime.fromMillis(Math.floor(ms / SLOT) * SLOT, { zone });
  const time = of.clock === 'standard' ? local.setZone(standardZone(zone, local.year)) : local;
  const monthDay = time.toFormat('MM-dd');
  const begun = of.begins.findLastIndex((begins) => begins <= monthDay);
  const season = begun === -1 ? of.begins.length - 1 : begun;
  const isHoliday = of.holidays.includes(time.toISODate() ?? '');
  const named: DayName = of.like === 'own' ? 'holiday' : of.like;
  const day = isHoliday ? DAY_NAMES.indexOf(named) : time.weekday - 1;
  const group = of.groups[season]?.[day] ?? -1;
  const quarter = time.hour * 4 + Math.floor(time.minute / 15);
  const run = (of.changes[season]?.[group] ?? []).filter((change) => change <= quarter).length;
  return rateName(season, group, run);
}

/** The least that clocks of the zone are ahead in a year: winter time, on either hemisphere. */
function standardZone(zone: string, year: number): string {
  const offsets = Array.from(
    { length: 12 },
    (_, month) => DateTime.fromObject({ year, month: month + 1, day: 2 }, { zone }).offset,
  );
  const minutes = Math.min(...offsets);
  const size = Math.abs(minutes);
  return `UTC${minutes < 0 ? '-' : '+'}${Math.floor(size / 60)}:${String(size % 60).padStart(2, '0')}`;
}

/** Anywhere in eighteen years, or on a Sunday morning about when clocks are changed. */
const moment = fc.oneof(
  fc
    .integer({ min: Date.UTC(2020, 0, 3), max: Date.UTC(2037, 11, 29) })
    .map((ms) => (): number => ms),
  fc
    .record({
      year: fc.integer({ min: 2020, max: 2037 }),
      month: fc.constantFrom(3, 4, 9, 10, 11),
      week: fc.integer({ min: 0, max: 4 }),
      minute: fc.integer({ min: -120, max: 300 }),
    })
    .map(({ year, month, week, minute }) => (zone: string): number => {
      const first = DateTime.fromObject({ year, month, day: 1 }, { zone });
      const sunday = first.plus({ days: ((7 - first.weekday) % 7) + week * 7 });
      return sunday.toMillis() + minute * 60_000;
    }),
);

test('every slot has the rate that another calendar library finds by looking', () => {
  const moments = fc.array(fc.tuple(fc.constantFrom(...ZONES), moment), {
    minLength: 1,
    maxLength: 4,
  });
  let looked = 0;
  fc.assert(
    fc.property(plan, moments, (of, list) => {
      const config = tariffOf(inputOf(of), { valid_from: '2019-12-01' });
      const books = new Map<string, TariffBook>();
      for (const [zone, at] of list) {
        const calendar = CALENDARS.get(zone) as Calendar;
        const book = books.get(zone) ?? compileTariffs({ plan: config }, calendar, 'EUR');
        books.set(zone, book);
        const ms = at(zone);
        expect(`${zone} ${ms} ${book.rateAt(instant(ms))?.id}`).toBe(
          `${zone} ${ms} ${plainRate(of, zone, ms)}`,
        );
        looked += 1;
      }
    }),
    runs(),
  );
  expect(looked).toBeGreaterThan(0);
});
