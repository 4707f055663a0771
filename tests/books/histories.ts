import fc from 'fast-check';
import type { DeviceConfig } from '../../src/books/config.ts';
import {
  type AccountBasis,
  type Correction,
  type Entry,
  stripOf,
  stripsFrom,
} from '../../src/books/index.ts';
import { compileShares, type TankFacts } from '../../src/shares/index.ts';
import type { TariffConfig } from '../../src/tariff/config.ts';
import { compileTariffs, type SlotPrice } from '../../src/tariff/index.ts';
import {
  Calendar,
  HOUR,
  type Instant,
  instant,
  later,
  type MicroPerKwh,
  type Millis,
  type MilliwattHours,
  SLOT,
  type Span,
} from '../../src/units/index.ts';
import { flat, period, tariffOf } from '../tariff/tariffs.ts';
import { runs } from '../units/runs.ts';
import { entry, type MemoryStore, type MemoryStoreOptions, memoryStore } from './fish-room.ts';

/** Drawing months takes its time: a property of them is tried 10,000 times only by AMPULLA_LONG=1. */
export const tries = (usual: number): { numRuns: number } => ({
  numRuns: runs(1).numRuns === 1 ? usual : 10_000,
});

const ZONES = ['America/Winnipeg', 'Europe/Berlin', 'Australia/Lord_Howe', 'Asia/Kathmandu'];
const CALENDARS = ZONES.map((zone) => new Calendar(zone));
const DEVICES = ['heater', 'lamp', 'pump', 'blower', 'gone'];
/** Fed by one plug; the mixer gets what the others leave. */
const ON_STRIP = ['mixer', 'fan', 'mat'];
export const STRIP = 'bar';
const TANKS = ['heron', 'reed', 'newt', 'upkeep'];

/** Months in which some of the zones change their clocks, and one in which none does. */
const MONTHS = [Date.UTC(2026, 2, 15), Date.UTC(2026, 3, 15), Date.UTC(2026, 9, 15)].concat(
  Date.UTC(2026, 10, 15),
  Date.UTC(2026, 5, 15),
);

/** What became of a fish room in a month, told apart from how the books see it. */
export interface History {
  readonly calendar: Calendar;
  readonly month: Span;
  readonly devices: Record<string, DeviceConfig>;
  /** What a heat need goes by. */
  readonly tanks: Readonly<Record<string, TankFacts>>;
  /** Prices in micro-units per kWh; the tariffs made of them are `tariffsOf`. */
  readonly prices: {
    readonly flat: number;
    readonly day: number;
    /** In the first, second and third block. */
    readonly night: readonly [number, number, number];
    /** Published by the hour, over and over; undefined: none for that hour. */
    readonly published: readonly (number | undefined)[];
  };
  /** Where the blocks end, kWh of a whole month. */
  readonly ends: readonly [number, number];
  readonly blocksAt: 'average' | 'marginal';
  /** Of the rest of the house, mWh a month; undefined where nothing is stated. */
  readonly otherPerMonth: number | undefined;
  /** Currency per month; borne by the tanks. */
  readonly standing: number;
  /** Local dates on which the flat, the time-of-use and the slot-priced tariff begin. */
  readonly begins: { readonly flat: string; readonly timeOfUse: string; readonly slots: string };
  readonly entries: readonly Entry[];
  readonly corrections: readonly Correction[];
}

const price = fc.oneof(
  fc.integer({ min: 0, max: 1_000_000 }),
  fc.integer({ min: -1_000_000, max: 100_000_000_000 }),
);
// From next to nothing to what a 100 kW plug carries in a slot, now and then withdrawn.
const energy = fc.oneof(
  fc.integer({ min: -3, max: 10 }),
  fc.integer({ min: -1_000, max: 1_000_000 }),
  fc.integer({ min: 0, max: 25_000_000 }),
);
const known = fc.constantFrom<Entry['known']>('counted', 'integrated', 'bridged', 'reckoned');

const shares = fc
  .array(fc.integer({ min: 0, max: 1000 }), { minLength: TANKS.length, maxLength: TANKS.length })
  .filter((parts) => parts.some((part) => part > 0))
  .map((parts) => {
    const sum = parts.reduce((a, b) => a + b, 0);
    return Object.fromEntries(TANKS.map((tank, index) => [tank, (parts[index] ?? 0) / sum]));
  });
const among = fc.uniqueArray(fc.constantFrom('heron', 'reed', 'newt'), { minLength: 1 });
const belonging: fc.Arbitrary<Partial<DeviceConfig>> = fc.oneof(
  fc.constantFrom(...TANKS).map((tank) => ({ tank })),
  shares.map((fractions) => ({ shares: fractions })),
  among.map((tanks) => ({ divided: { by: 'equal' as const, among: tanks } })),
  among.map((tanks) => ({
    divided: { by: 'heat-need' as const, among: tanks, room_without_c: 15 },
  })),
);
const holder = (date: (day: number) => string): fc.Arbitrary<Partial<DeviceConfig>> =>
  fc.oneof(
    belonging,
    fc
      .tuple(belonging, belonging, fc.integer({ min: 1, max: 28 }))
      .map(([first, then, day]) => ({ ...first, moved: [{ on: date(day), ...then }] })),
    fc
      .tuple(belonging, fc.integer({ min: 1, max: 28 }))
      .map(([first, day]) => ({ ...first, until: date(day) })),
  );

const tankFacts: fc.Arbitrary<TankFacts> = fc.record({
  volume_l: fc.constant(100),
  lossWPerK: fc.double({ min: 0, max: 20, noNaN: true }),
  keptC: fc.integer({ min: 10, max: 30 }),
});

const entriesIn = (month: Span, devices: readonly string[]): fc.Arbitrary<Entry[]> =>
  fc
    .array(
      fc.record({
        slot: fc.nat({ max: (month.to - month.from) / SLOT - 1 }),
        device: fc.constantFrom(...devices),
        known,
        energy,
        spread: fc.integer({ min: 0, max: 1000 }),
        covered: fc.integer({ min: 0, max: SLOT }),
      }),
      { maxLength: 40 },
    )
    .map((list) =>
      list
        .map((one) =>
          entry(instant(month.from + one.slot * SLOT), one.device, one.energy, {
            known: one.known,
            spread: one.spread as MilliwattHours,
            covered: one.covered as Millis,
          }),
        )
        .sort((a, b) => a.slot - b.slot || (a.device < b.device ? -1 : 1)),
    );

const correctionsIn = (
  month: Span,
  devices: readonly string[],
): fc.Arbitrary<readonly Correction[]> =>
  fc
    .array(
      fc.record({
        device: fc.constantFrom(...devices),
        from: fc.nat({ max: (month.to - month.from) / SLOT - 1 }),
        slots: fc.integer({ min: 1, max: 120 }),
        booked: fc.option(fc.integer({ min: -1_000, max: 500_000_000 })),
      }),
      { maxLength: 4 },
    )
    .map((list) =>
      list.map(({ device, from, slots, booked }, index) => ({
        number: index + 1,
        device,
        span: {
          from: instant(month.from + from * SLOT),
          to: instant(Math.min(month.to, month.from + (from + slots) * SLOT)),
        },
        kind: booked === null ? ('void' as const) : ('book' as const),
        energy: (booked ?? 0) as MilliwattHours,
        reason: 'the plug was moved',
        made: month.to,
        withdrawn: undefined,
      })),
    );

function historyOf(strips: boolean): fc.Arbitrary<History> {
  const booked = strips ? [...DEVICES, stripOf(STRIP)] : DEVICES;
  const corrected = strips ? [...DEVICES, ...ON_STRIP] : DEVICES;
  return fc
    .tuple(fc.constantFrom(...CALENDARS), fc.constantFrom(...MONTHS))
    .chain(([calendar, ms]) => {
      const month = calendar.month(ms as Instant);
      const date = (day: number): string =>
        `${calendar.dateAt(ms as Instant).slice(0, 7)}-${String(day).padStart(2, '0')}`;
      const day = (min: number, max: number) => fc.integer({ min, max }).map(date);
      return fc.record({
        calendar: fc.constant(calendar),
        month: fc.constant(month),
        devices: devicesOf(holder(date), strips),
        tanks: fc.record({ heron: tankFacts, reed: tankFacts, newt: tankFacts }),
        prices: fc.record({
          flat: price,
          day: price,
          night: fc.tuple(price, price, price),
          published: fc.array(fc.option(price, { nil: undefined }), {
            minLength: 1,
            maxLength: 30,
          }),
        }),
        ends: fc
          .tuple(fc.integer({ min: 1, max: 200 }), fc.integer({ min: 201, max: 2000 }))
          .map(([first, second]) => [first, second] as const),
        blocksAt: fc.constantFrom('average' as const, 'marginal' as const),
        otherPerMonth: fc.option(fc.nat({ max: 2_000_000_000 }), { nil: undefined }),
        standing: fc.integer({ min: 0, max: 50_000_000 }).map((micro) => micro / 1e6),
        begins: fc.record({ flat: day(1, 9), timeOfUse: day(10, 18), slots: day(19, 28) }),
        entries: entriesIn(month, booked),
        corrections: correctionsIn(month, corrected),
      });
    });
}

const devicesOf = (
  holders: fc.Arbitrary<Partial<DeviceConfig>>,
  strips: boolean,
): fc.Arbitrary<Record<string, DeviceConfig>> =>
  fc.array(holders, { minLength: 7, maxLength: 7 }).map((all) => {
    const plugged = DEVICES.slice(0, 4).map((id, index) => [
      id,
      { kind: 'other', nameplate_w: 10, plug: `plug-${index}`, ...all[index] },
    ]);
    const onStrip = ON_STRIP.map((id, index) => [
      id,
      {
        kind: 'other',
        nameplate_w: 7 + 20 * index,
        plug: STRIP,
        ...(id === 'fan' ? { schedule: [{ from: '09:00', to: '17:20' }] } : {}),
        ...(id === 'mat' ? { duty: 0.3 } : {}),
        ...all[4 + index],
      },
    ]);
    return Object.fromEntries(strips ? [...plugged, ...onStrip] : plugged);
  });

/** All that can happen. */
export const history = historyOf(true);
/** The same without a plug that feeds several devices, for sums that are done by hand. */
export const plainHistory = historyOf(false);

/**
 * A flat tariff, then a time-of-use one whose day is 06:00 to 22:00 and whose night has blocks, then
 * one with a price for each slot, of which the keeper pays twice the published one and no less than
 * nothing.
 */
export const tariffsOf = (of: History): Record<string, TariffConfig> => {
  const { prices, begins, ends, standing } = of;
  const charges = [{ name: 'Meter', per_month: standing }];
  const night = prices.night.map((micro) => micro / 1e6);
  return {
    first: flat(prices.flat / 1e6, begins.flat),
    second: tariffOf(
      {
        kind: 'time-of-use',
        rates: { day: { price_per_kwh: prices.day / 1e6 }, night: { prices_per_kwh: night } },
        periods: [period('day', '06:00', '22:00'), period('night', '22:00', '06:00')],
        blocks: { ends_kwh: [...ends], priced_at: of.blocksAt },
      },
      { valid_from: begins.timeOfUse, standing_charges: 'tanks', charges },
    ),
    third: tariffOf(
      { kind: 'slot-prices', series: 'exchange', factor: 2, floor_per_kwh: 0 },
      { valid_from: begins.slots, charges },
    ),
  };
};

/** The published prices of the month, by the hour since it began. */
export const pricesOf = ({ prices, month }: History): SlotPrice[] => {
  const hours = Math.ceil((month.to - month.from) / HOUR);
  return Array.from({ length: hours }, (_, hour) => hour).flatMap((hour) => {
    const published = prices.published[hour % prices.published.length];
    if (published === undefined) return [];
    const from = later(month.from, hour * HOUR);
    return [{ series: 'exchange', from, to: later(from, HOUR), price: published as MicroPerKwh }];
  });
};

/** What the accounts of a history are drawn up with. */
export const basisOf = (of: History): AccountBasis => ({
  calendar: of.calendar,
  tariffs: compileTariffs(tariffsOf(of), of.calendar, 'EUR'),
  devices: of.devices,
  shares: compileShares(of.devices, of.tanks, of.calendar),
  strips: stripsFrom(of.devices, { [STRIP]: { remainder: 'mixer' } }),
  otherPerMonth: of.otherPerMonth as MilliwattHours | undefined,
});

/** A store in which all of a history stands. */
export function storeOf(of: History, options: MemoryStoreOptions = {}): MemoryStore {
  const store = memoryStore({ begins: of.month.from, ...options });
  store.book(...of.entries);
  store.correct(...of.corrections);
  store.publish(...pricesOf(of));
  return store;
}
