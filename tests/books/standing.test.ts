import { describe, expect, test } from 'vitest';
import { addAccounts, createAccountBook } from '../../src/books/index.ts';
import { compileTariffs } from '../../src/tariff/index.ts';
import { Calendar, DAY, HOUR, type LocalDate, later, type Span } from '../../src/units/index.ts';
import { tariffOf } from '../tariff/tariffs.ts';
import { at, basisOf, device, entry, memoryStore } from './fish-room.ts';

const calendar = new Calendar('America/Winnipeg');
const day = (date: string): Span => calendar.dayOf(date as LocalDate);
const may = calendar.month(at('2026-05-13T12:00Z'));

function openBook(bearing: 'apart' | 'tanks', begins = may.from) {
  const tariffs = compileTariffs(
    {
      plain: tariffOf(
        { kind: 'flat', price_per_kwh: 0.2 },
        { standing_charges: bearing, charges: [{ name: 'Basic charge', per_month: 10 }] },
      ),
    },
    calendar,
    'CAD',
  );
  const store = memoryStore({ begins });
  store.book(entry(later(day('2026-05-13').from, HOUR), 'heater', 1_000_000));
  const basis = basisOf(calendar, tariffs, {
    heater: device('heater', 100, { plug: 'plug-1', tank: 'newt' }),
    blower: device('air-pump', 10, {
      plug: 'plug-2',
      shares: { heron: 0.5, reed: 0.25, upkeep: 0.25 },
    }),
  });
  return createAccountBook(store, basis);
}

describe('standing charges', () => {
  // 10.00 over 31 days are 0.322580 and, for the first 20 of them, a micro-unit more.
  test('of a month are divided evenly among its days, and stand apart', () => {
    const book = openBook('apart');
    expect(book.account(day('2026-05-20'), may.to).standing).toBe(322_581);
    expect(book.account(day('2026-05-21'), may.to).standing).toBe(322_580);
    const account = book.account(may, may.to);
    expect(account).toMatchObject({ standing: 10_000_000, site: { cost: 200_000 } });
    expect(account.tankStanding.size).toBe(0);
  });

  test('count for the time that has passed', () => {
    const book = openBook('apart');
    const noon = later(day('2026-05-02').from, 12 * HOUR);
    expect(book.account(may, noon).standing).toBe(322_581 + 161_291);
    expect(book.account({ from: noon, to: may.to }, noon).standing).toBe(0);
  });

  test('and not for the time before the books began', () => {
    const book = openBook('apart', day('2026-05-30').from);
    expect(book.account(may, may.to).standing).toBe(2 * 322_580);
  });

  test('add up, however a span is cut', () => {
    const book = openBook('tanks');
    const cuts = [may.from, later(may.from, 5 * HOUR), later(may.from, 3 * DAY), may.to];
    const parts = cuts
      .slice(1)
      .map((to, index) => book.account({ from: cuts[index] as never, to }, may.to));
    const sum = parts.reduce(addAccounts);
    expect(sum.standing).toBe(10_000_000);
    expect([...sum.tankStanding.values()].reduce((a, b) => a + b, 0)).toBe(10_000_000);
  });

  test('are borne by the tanks alike where the tariff says so, and not by the upkeep', () => {
    const { standing, tankStanding, site } = openBook('tanks').account(day('2026-05-20'), may.to);
    expect(standing).toBe(322_581);
    expect(Object.fromEntries(tankStanding)).toEqual({
      heron: 107_527,
      newt: 107_527,
      reed: 107_527,
    });
    expect(site.cost).toBe(0);
  });
});
