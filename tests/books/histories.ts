import fc from 'fast-check';
import type { DeviceConfig } from '../../src/books/config.ts';
import type { Entry } from '../../src/books/index.ts';
import {
  Calendar,
  type Instant,
  instant,
  type Millis,
  type MilliwattHours,
  SLOT,
  type Span,
} from '../../src/units/index.ts';
import { flat, period, timeOfUse } from '../tariff/tariffs.ts';
import { entry } from './fish-room.ts';

const ZONES = ['America/Winnipeg', 'Europe/Berlin', 'Australia/Lord_Howe', 'Asia/Kathmandu'];
const CALENDARS = ZONES.map((zone) => new Calendar(zone));
const DEVICES = ['heater', 'lamp', 'pump', 'blower', 'gone'];
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
  /** Prices in micro-units per kWh; the tariffs made of them are `tariffsOf`. */
  readonly prices: { readonly flat: number; readonly day: number; readonly night: number };
  /** Local dates on which the flat and the time-of-use tariff begin. */
  readonly begins: { readonly flat: string; readonly timeOfUse: string };
  readonly entries: readonly Entry[];
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
const holder: fc.Arbitrary<Partial<DeviceConfig>> = fc.oneof(
  fc.constantFrom(...TANKS).map((tank) => ({ tank })),
  shares.map((fractions) => ({ shares: fractions })),
);

const entriesIn = (month: Span): fc.Arbitrary<Entry[]> =>
  fc
    .array(
      fc.record({
        slot: fc.nat({ max: (month.to - month.from) / SLOT - 1 }),
        device: fc.constantFrom(...DEVICES),
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

export const history: fc.Arbitrary<History> = fc
  .tuple(fc.constantFrom(...CALENDARS), fc.constantFrom(...MONTHS))
  .chain(([calendar, ms]) => {
    const month = calendar.month(ms as Instant);
    const date = (day: number): string =>
      `${calendar.dateAt(ms as Instant).slice(0, 7)}-${String(day).padStart(2, '0')}`;
    return fc.record({
      calendar: fc.constant(calendar),
      month: fc.constant(month),
      devices: fc
        .tuple(holder, holder, holder, holder)
        .map(
          (holders) =>
            Object.fromEntries(
              holders.map((of, index) => [
                DEVICES[index],
                { kind: 'other', nameplate_w: 10, plug: `plug-${index}`, ...of },
              ]),
            ) as Record<string, DeviceConfig>,
        ),
      prices: fc.record({ flat: price, day: price, night: price }),
      begins: fc
        .tuple(fc.integer({ min: 1, max: 14 }), fc.integer({ min: 15, max: 28 }))
        .map(([first, second]) => ({ flat: date(first), timeOfUse: date(second) })),
      entries: entriesIn(month),
    });
  });

/** A flat tariff, then a time-of-use one whose day is 06:00 to 22:00. */
export const tariffsOf = ({ prices, begins }: History) => ({
  first: flat(prices.flat / 1e6, begins.flat),
  second: timeOfUse(
    { day: prices.day / 1e6, night: prices.night / 1e6 },
    [period('day', '06:00', '22:00'), period('night', '22:00', '06:00')],
    begins.timeOfUse,
  ),
});
