import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type AccountBasis, createAccountBook, stripsFrom } from '../../src/books/index.ts';
import { sheetKeys } from '../../src/books/sheet-key.ts';
import { readSheets, sheetsText } from '../../src/books/sheet-text.ts';
import { type DaySheets, sheetDrawer } from '../../src/books/sheets.ts';
import type { TariffConfig } from '../../src/tariff/config.ts';
import { compileTariffs } from '../../src/tariff/index.ts';
import { Calendar, DAY, HOUR, type LocalDate, later, type Span } from '../../src/units/index.ts';
import { flat, lanternHollow, tariffOf } from '../tariff/tariffs.ts';
import { at, basisOf, device, entry, memoryStore } from './fish-room.ts';
import { basisOf as basisOfHistory, history, storeOf, tries } from './histories.ts';

const calendar = new Calendar('America/Winnipeg');
const day = (date: string): Span => calendar.dayOf(date as LocalDate);
const devices: AccountBasis['devices'] = {
  pump: device('pump', 40, { plug: 'plug-1', tank: 'newt' }),
  lamp: device('light', 80, { plug: 'bar', tank: 'reed' }),
  mat: device('heat-mat', 20, { plug: 'bar', tank: 'reed' }),
};
const basis = (
  tariffs: Record<string, TariffConfig> = { lantern: lanternHollow },
  changed: AccountBasis['devices'] = devices,
): AccountBasis =>
  basisOf(calendar, compileTariffs(tariffs, calendar, 'CAD'), changed, {
    strips: stripsFrom(changed, { bar: { remainder: 'lamp' } }),
  });

const plain = (sheets: DaySheets) =>
  [...sheets].map(([id, { lines, covered, drawing }]) => [id, lines, covered, drawing]);

test('sheets come back from their text as they were', () => {
  fc.assert(
    fc.property(history, (of) => {
      const store = storeOf(of);
      const draw = sheetDrawer(basisOfHistory(of));
      for (const entry of of.entries.slice(0, 4)) {
        const sheets = draw(of.calendar.day(entry.slot), store);
        const read = readSheets(sheetsText(sheets));
        // How an exact product is held may change; what it is may not.
        expect(sheetsText(read)).toBe(sheetsText(sheets));
        expect(plain(read).map(([id, lines]) => [id, (lines as unknown[]).length])).toEqual(
          plain(sheets).map(([id, lines]) => [id, (lines as unknown[]).length]),
        );
      }
    }),
    tries(100),
  );
});

describe('the key of a day', () => {
  const wednesday = day('2026-05-13');
  const keyOf = (on: AccountBasis, of = wednesday): string => sheetKeys(on)(of);
  const key = keyOf(basis());

  test('stays under other prices, shares and names', () => {
    const dearer = { ...lanternHollow, name: 'Lantern, dearer' };
    const shared = { ...devices, pump: device('pump', 40, { plug: 'plug-1', tank: 'reed' }) };
    expect(keyOf(basis({ lantern: dearer }, shared))).toBe(key);
  });

  test('changes with the hours, the rates, the zone and what a strip is divided by', () => {
    const strong = { ...devices, mat: device('heat-mat', 25, { plug: 'bar', tank: 'reed' }) };
    const moved = { ...devices, mat: device('heat-mat', 20, { plug: 'plug-1', tank: 'reed' }) };
    const elsewhere = new Calendar('America/Regina');
    const others = [
      basis({ lantern: flat(0.2) }),
      basis({ other: lanternHollow }),
      basis(undefined, strong),
      basis(undefined, moved),
      { ...basis(), calendar: elsewhere },
    ].map((on) => keyOf(on));
    expect(new Set([key, ...others]).size).toBe(others.length + 1);
  });

  test('is another one only from the day on which a device has left a strip', () => {
    const until = { plug: 'bar', tank: 'reed', until: '2026-05-13' };
    const left = { ...devices, mat: device('heat-mat', 20, until) };
    const on = basis(undefined, left);
    expect(keyOf(on)).toBe(key);
    expect(keyOf(on, day('2026-05-14'))).not.toBe(keyOf(basis(), day('2026-05-14')));
  });

  test('is another one only on days of another tariff', () => {
    const later = { ...flat(0.2), valid_from: '2026-05-14' };
    const on = basis({ lantern: lanternHollow, later });
    expect(keyOf(on)).toBe(key);
    expect(keyOf(on, day('2026-05-14'))).not.toBe(key);
  });

  test('minds prices where a formula makes them of published ones', () => {
    const slots = (factor: number, series = 'exchange') =>
      basis({ exchange: tariffOf({ kind: 'slot-prices', series, factor }) });
    const keys = [slots(1), slots(2), slots(1, 'other')].map((on) => keyOf(on));
    expect(new Set(keys).size).toBe(3);
    expect(keyOf(slots(1))).toBe(keys[0]);
  });
});

describe('an account book', () => {
  const dates = ['2026-05-11', '2026-05-12', '2026-05-13', '2026-05-14'];
  const span = { from: day('2026-05-11').from, to: day('2026-05-14').to };
  const week = later(span.to, 2 * DAY);

  function filled() {
    const store = memoryStore();
    for (const date of dates) {
      store.book(entry(later(day(date).from, 12 * HOUR), 'pump', 1_000_000));
    }
    return store;
  }

  test('keeps the sheets of days in the store, and another one reads no entries', () => {
    const store = filled();
    const first = createAccountBook(store, basis()).account(span, week);
    expect(store.keptSheets).toBe(4);
    store.read.length = 0;
    expect(createAccountBook(store, basis()).account(span, week)).toEqual(first);
    expect(store.read).toEqual([]);
  });

  test('keeps none of the last two days, which late counters still change', () => {
    const store = filled();
    createAccountBook(store, basis()).account(span, later(span.to, DAY));
    expect(store.keptSheets).toBe(3);
  });

  test('reads no entries for other prices or shares, and all for other hours', () => {
    const store = filled();
    const book = createAccountBook(store, basis());
    const before = book.account(span, week);
    store.read.length = 0;
    const shared = { ...devices, pump: device('pump', 40, { plug: 'plug-1', tank: 'reed' }) };
    book.reconfigure(basis({ lantern: { ...lanternHollow } }, shared));
    const after = book.account(span, week);
    expect(store.read).toEqual([]);
    expect(after.tanks.get('reed')?.cost).toBe(before.tanks.get('newt')?.cost);
    book.reconfigure(basis({ lantern: flat(0.2) }));
    expect(book.account(span, week).site.cost).toBe(800_000);
    expect(store.read).toHaveLength(4);
  });

  test('sees a correction that a command made beside it', () => {
    const store = filled();
    const book = createAccountBook(store, basis());
    expect(book.account(span, week).site.energy).toBe(4_000_000);
    store.correct({
      number: 1,
      device: 'pump',
      span: day('2026-05-12'),
      kind: 'void',
      energy: 0 as never,
      reason: 'it was lent out',
      made: week,
      withdrawn: undefined,
    });
    store.read.length = 0;
    expect(book.account(span, week).site.energy).toBe(3_000_000);
    expect(store.read).toEqual([day('2026-05-12')]);
    // Nothing is left of that day, and that is kept too.
    expect(createAccountBook(store, basis()).account(span, week).site.energy).toBe(3_000_000);
    expect(store.read).toEqual([day('2026-05-12')]);
  });

  test('holds what was booked by hand for a time before the first entry', () => {
    const store = filled();
    store.correct({
      number: 1,
      device: 'pump',
      span: { from: at('2026-04-01T12:00Z'), to: at('2026-04-01T13:00Z') },
      kind: 'book',
      energy: 5_000 as never,
      reason: 'from the old notebook',
      made: week,
      withdrawn: undefined,
    });
    const { site } = createAccountBook(store, basis()).account(
      { ...span, from: at('2026-01-01T12:00Z') },
      week,
    );
    expect(site).toMatchObject({ energy: 4_005_000, elapsed: 3 * (84 * HOUR) });
  });
});
