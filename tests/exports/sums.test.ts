import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  type Account,
  type AccountBasis,
  type Correction,
  countedEntries,
  createAccountBook,
  type DevicePosting,
  dayLines,
  type Figures,
  publishedPrices,
  stripOf,
  stripsFrom,
} from '../../src/books/index.ts';
import type { ExportSite } from '../../src/exports/index.ts';
import { compileTariffs, type SlotPrice } from '../../src/tariff/index.ts';
import {
  Calendar,
  HOUR,
  type Instant,
  type LocalDate,
  later,
  type MicroPerKwh,
  type Millis,
  type MilliwattHours,
  SLOT,
  type Span,
} from '../../src/units/index.ts';
import { basisOf, device, memoryStore } from '../books/fish-room.ts';
import { flat, period, tariffOf, timeOfUse } from '../tariff/tariffs.ts';
import { runs } from '../units/runs.ts';
import { FORMS, type Form, readBack, sumsBy, written } from './read-back.ts';

const CALENDARS = ['America/Winnipeg', 'Australia/Lord_Howe', 'Asia/Kathmandu'].map(
  (zone) => new Calendar(zone),
);
/** Holds a change of the clocks in the first two zones. */
const SPANS: Readonly<Record<string, readonly [string, string]>> = {
  'America/Winnipeg': ['2026-03-04', '2026-03-12'],
  'Australia/Lord_Howe': ['2026-04-01', '2026-04-09'],
  'Asia/Kathmandu': ['2026-03-04', '2026-03-12'],
};

/** Without a tariff, under blocks by the hour, under prices by the slot, and flat: days of each. */
const tariffsFrom = (date: (day: number) => string) => ({
  steps: timeOfUse(
    {},
    [period('day', '06:00', '22:00'), period('night', '22:00', '06:00')],
    date(1),
    {
      rates: {
        day: { prices_per_kwh: [0.31, 0.17] },
        night: { price_per_kwh: 0.0901 },
      },
      blocks: { ends_kwh: [40] },
    },
  ),
  spot: tariffOf(
    { kind: 'slot-prices', series: 'day-ahead', factor: 1.07, adder_per_kwh: 0.0213 },
    { valid_from: date(4), charges: [{ name: 'grid', per_day: 0.31 }], standing_charges: 'tanks' },
  ),
  level: flat(0.123457, date(7)),
});

const DEVICES = {
  heater: device('heater', 300, { plug: 'rack-1', shares: { newt: 0.3, reed: 0.7 } }),
  lamp: device('light', 80, { tank: 'reed' }),
  pump: device('pump', 20, { plug: 'rack-2', tank: 'newt' }),
  sump: device('other', 15, { plug: 'rack-2', tank: 'heron' }),
};
const spanIn = (calendar: Calendar): Span => {
  const [first, last] = SPANS[calendar.zone] as readonly [LocalDate, LocalDate];
  return { from: calendar.dayOf(first).from, to: calendar.dayOf(last).to };
};
const BASES = new Map<Calendar, AccountBasis>(
  CALENDARS.map((calendar) => {
    const { from } = spanIn(calendar);
    const date = (day: number): string => calendar.dateAt(later(from, day * 24 * HOUR + HOUR));
    const tariffs = compileTariffs(tariffsFrom(date), calendar, 'CAD');
    const strips = stripsFrom(DEVICES, { 'rack-2': { remainder: 'sump' } });
    return [calendar, basisOf(calendar, tariffs, DEVICES, { strips })];
  }),
);
const SOURCES = ['heater', 'lamp', stripOf('rack-2'), 'gone'];

interface Room {
  readonly calendar: Calendar;
  readonly span: Span;
  readonly now: Instant;
  readonly postings: readonly DevicePosting[];
  readonly corrections: readonly Correction[];
  readonly prices: readonly SlotPrice[];
}

const room: fc.Arbitrary<Room> = fc.constantFrom(...CALENDARS).chain((calendar) => {
  const span = spanIn(calendar);
  const slots = (span.to - span.from) / SLOT;
  const slot = fc.nat({ max: slots - 1 }).map((index) => later(span.from, index * SLOT));
  const energy = fc.oneof(
    fc.integer({ min: -3, max: 10 }),
    fc.integer({ min: -1_000, max: 25_000_000 }),
  );
  return fc.record({
    calendar: fc.constant(calendar),
    span: fc.constant(span),
    now: fc.constantFrom(span.to, later(span.from, 5 * 24 * HOUR)),
    postings: fc.array(
      fc.record({
        slot,
        device: fc.constantFrom(...SOURCES),
        known: fc.constantFrom<DevicePosting['known']>(
          ...(['counted', 'integrated', 'bridged', 'reckoned'] as const),
        ),
        energy: energy.map((value) => value as MilliwattHours),
        spread: fc.integer({ min: 0, max: 1_000 }).map((value) => value as MilliwattHours),
        covered: fc.integer({ min: 0, max: SLOT }).map((value) => value as Millis),
        drawing: fc.integer({ min: 0, max: SLOT }).map((value) => value as Millis),
      }),
      { maxLength: 40 },
    ),
    corrections: fc
      .array(
        fc.record({
          device: fc.constantFrom('heater', 'pump', 'lamp'),
          kind: fc.constantFrom('void', 'book'),
          from: fc.nat({ max: slots - 2 }),
          length: fc.integer({ min: 1, max: 200 }),
          energy: fc.integer({ min: 1, max: 5_000_000 }),
        }),
        { maxLength: 3 },
      )
      .map((all) =>
        all.map(({ device, kind, from, length, energy }, index) => ({
          number: index + 1,
          device,
          kind,
          span: {
            from: later(span.from, from * SLOT),
            to: later(span.from, Math.min(slots, from + length) * SLOT),
          },
          energy: (kind === 'void' ? 0 : energy) as MilliwattHours,
          reason: 'tried by chance',
          made: span.to,
          withdrawn: undefined,
        })),
      ),
    prices: fc
      .array(fc.integer({ min: -200_000, max: 900_000 }), { minLength: 24, maxLength: 220 })
      .map((all) =>
        all.flatMap((price, index) => {
          const from = later(span.from, index * HOUR);
          // Every seventh hour nobody published a price.
          return index % 7 === 3
            ? []
            : [{ series: 'day-ahead', from, to: later(from, HOUR), price: price as MicroPerKwh }];
        }),
      ),
  });
});

/** The books of a room as the daemon has them, and what is exported of them. */
function booksOf({ calendar, span, now, postings, corrections, prices }: Room) {
  const basis = BASES.get(calendar) as AccountBasis;
  const { tariffs } = basis;
  const store = memoryStore({ begins: span.from });
  store.book(...postings);
  // Nobody corrects what is yet to come.
  store.correct(...corrections.filter((one) => one.span.to <= now));
  store.publish(...prices);
  const book = createAccountBook(store, basis);
  const site: ExportSite = {
    calendar,
    currency: 'CAD',
    tariffs,
    deviceName: (id) => (id === 'heater' ? '=Heater; "old", new' : undefined),
    tankName: (id) => (id === 'newt' ? 'Molche,\r\nhinten' : undefined),
    publishedAt: publishedPrices(store.slotPrices),
  };
  return {
    account: book.account(span, now),
    days: calendar.dates(span).map((day) => book.account(calendar.dayOf(day), now)),
    entries: () => countedEntries(span, store, basis),
    lines: () => dayLines(span, store, basis, book, now),
    site,
  };
}

const bigs = (
  figures: ReadonlyMap<string, Figures>,
  of: (figures: Figures) => number,
): Map<string, bigint> => new Map([...figures].map(([id, each]) => [id, BigInt(of(each))]));

/** Sums without those that are nothing: a file has no row for them. */
const some = (sums: ReadonlyMap<string, bigint>): object =>
  Object.fromEntries([...sums].filter(([, sum]) => sum !== 0n).sort());

const byRate = ({ site }: Account, of: 'energy' | 'cost'): Map<string, bigint> =>
  new Map([...site.byRate.values()].map((each) => [each.rate.id, BigInt(each[of])]));

test('every file sums to the account of the same span, to the mWh and the micro-unit', () => {
  fc.assert(
    fc.property(room, fc.constantFrom<Form>(...Object.values(FORMS)), (of, form) => {
      const { account, days, entries, lines, site } = booksOf(of);
      const { devices, tanks } = account;
      const read = (kind: Parameters<typeof written>[0], source: never) =>
        readBack(written(kind, source, { site, ...form }), form);

      const ofEntries = read('entries', entries() as never);
      expect(some(sumsBy(ofEntries, 'device', 'energy_wh', 3))).toEqual(
        some(bigs(devices, ({ energy }) => energy)),
      );
      expect(some(sumsBy(ofEntries, 'device', 'spread_wh', 3))).toEqual(
        some(bigs(devices, ({ spread }) => spread)),
      );
      expect(some(sumsBy(ofEntries, 'device', 'divided_wh', 3))).toEqual(
        some(bigs(devices, ({ divided }) => divided)),
      );

      const ofDays = read('days', lines() as never);
      for (const [column, decimals, amount] of [
        ['energy_wh', 3, 'energy'],
        ['cost', 6, 'cost'],
      ] as const) {
        expect(some(sumsBy(ofDays, 'device', column, decimals))).toEqual(
          some(bigs(devices, (figures) => figures[amount])),
        );
        expect(some(sumsBy(ofDays, 'known', column, decimals))).toEqual(
          some(
            new Map(
              Object.entries(account.site.byKnown).map(([known, each]) => [
                known,
                BigInt(each[amount]),
              ]),
            ),
          ),
        );
        const rated = ofDays.filter(({ rate }) => rate !== '');
        expect(some(sumsBy(rated, 'rate', column, decimals))).toEqual(
          some(byRate(account, amount)),
        );
        const ofTanks = read('tanks', days as never);
        expect(some(sumsBy(ofTanks, 'tank', column, decimals))).toEqual(
          some(bigs(tanks, (figures) => figures[amount])),
        );
        const ofDevices = read('devices', account as never);
        expect(some(sumsBy(ofDevices, 'device', column, decimals))).toEqual(
          some(bigs(devices, (figures) => figures[amount])),
        );
      }
      const priceless = ofDays.filter(({ rate }) => rate === '');
      expect(priceless.every(({ cost }) => cost === '')).toBe(true);
      const unpriced = [...sumsBy(priceless, 'rate', 'energy_wh', 3).values()];
      expect(unpriced[0] ?? 0n).toBe(BigInt(account.site.unpriced));
      const standing = sumsBy(read('tanks', days as never), 'tank', 'standing', 6);
      expect(some(standing)).toEqual(
        some(new Map([...account.tankStanding].map(([id, part]) => [id, BigInt(part)]))),
      );
    }),
    runs(100),
  );
});
