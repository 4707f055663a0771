import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type AccountBasis, createAccountBook } from '../../src/books/index.ts';
import { compileTariffs } from '../../src/tariff/index.ts';
import { Calendar, HOUR, type LocalDate, later, SLOT, type Span } from '../../src/units/index.ts';
import { flat } from '../tariff/tariffs.ts';
import { at, basisOf, device, entry, memoryStore } from './fish-room.ts';
import { basisOf as basisOfHistory, history, pricesOf, tries } from './histories.ts';

const calendar = new Calendar('America/Winnipeg');
const day = (date: string): Span => calendar.dayOf(date as LocalDate);
const basis = (price = 0.2): AccountBasis =>
  basisOf(calendar, compileTariffs({ plain: flat(price) }, calendar, 'CAD'), {
    pump: device('pump', 40, { plug: 'plug-1', tank: 'newt' }),
  });

const week = calendar.week(at('2026-05-13T12:00Z')); // Monday 11 to Sunday 17 May
const dates = ['2026-05-11', '2026-05-12', '2026-05-13', '2026-05-14', '2026-05-15'];
const noon = (date: string) => later(day(date).from, 12 * HOUR);

/** Of a store that keeps no sheets, so that what the book remembers is told apart. */
function openBook(remembered?: number) {
  const store = memoryStore({ keeps: false });
  store.book(...dates.map((date) => entry(noon(date), 'pump', 1_000_000)));
  const book = createAccountBook(store, basis(), remembered);
  /** What was read from the store meanwhile. */
  const readBy = (work: () => void): Span[] => {
    store.read.length = 0;
    work();
    return [...store.read];
  };
  return { store, book, readBy };
}

const friday = noon('2026-05-15');
const saturday = noon('2026-05-16');

describe('the account of a span', () => {
  test('is the sum of its days', () => {
    const { book } = openBook();
    const account = book.account(week, saturday);
    expect(account.span).toEqual(week);
    expect(account.site).toMatchObject({ energy: 5_000_000, cost: 1_000_000 });
    expect(account.site.elapsed).toBe(saturday - noon(dates[0] as string));
  });

  test('reads the day under way once for a page that asks three times', () => {
    const { store, book, readBy } = openBook();
    const today = day('2026-05-15');
    const read = readBy(() => {
      book.account(today, friday);
      book.account(week, friday);
      book.account(calendar.month(friday), friday);
    });
    expect(read.filter(({ from }) => from === today.from)).toEqual([today]);

    store.book(entry(friday, 'pump', 500_000));
    book.touched(friday);
    expect(book.account(today, friday).site.energy).toBe(1_500_000);
  });

  test('may begin and end within days', () => {
    const { book } = openBook();
    const span = { from: later(noon('2026-05-11'), HOUR), to: noon('2026-05-13') };
    expect(book.account(span, saturday).site.energy).toBe(1_000_000);
  });

  test('names every device even when nothing has passed', () => {
    const { book } = openBook();
    const nextWeek = { from: week.to, to: later(week.to, 24 * HOUR) };
    expect(book.account(nextWeek, friday).devices.get('pump')?.elapsed).toBe(0);
    expect([...book.account({ from: week.from, to: week.from }, friday).devices.keys()]).toEqual([
      'pump',
    ]);
  });

  test('asks nothing while the books are empty', () => {
    const { elapsed } = createAccountBook(memoryStore(), basis()).account(week, saturday).site;
    expect(elapsed).toBe(0);
  });

  test('asks nothing of the time before the first entry', () => {
    const { book } = openBook();
    const account = book.account(calendar.month(friday), saturday);
    expect(account.site.elapsed).toBe(saturday - noon('2026-05-11'));
  });
});

describe('days that are over', () => {
  test('are read once', () => {
    const { book, readBy } = openBook();
    const first = readBy(() => book.account(week, friday));
    expect(first).toHaveLength(5);
    const second = readBy(() => book.account(week, later(friday, HOUR)));
    expect(second).toEqual([day('2026-05-15')]);
  });

  test('are not those still going on, though all of their span is asked for', () => {
    const { book, store } = openBook();
    expect(book.account(day('2026-05-15'), friday).site.energy).toBe(1_000_000);
    store.book(entry(later(friday, HOUR), 'pump', 500_000));
    expect(book.account(day('2026-05-15'), later(friday, HOUR)).site.energy).toBe(1_500_000);
  });

  test('are read again after a posting to them, and only they', () => {
    const { book, store, readBy } = openBook();
    book.account(week, saturday);
    const late = entry(noon('2026-05-12'), 'pump', 250_000, { known: 'bridged' });
    store.book(late);
    book.touched(late.slot);
    let account = book.account(week, saturday);
    expect(account.site).toMatchObject({ energy: 5_250_000, cost: 1_050_000 });
    expect(account.site.byKnown.bridged.energy).toBe(250_000);
    book.touched(late.slot);
    const read = readBy(() => {
      account = book.account({ from: week.from, to: day('2026-05-15').to }, saturday);
    });
    expect(read).toEqual([day('2026-05-12')]);
    expect(account.site.energy).toBe(5_250_000);
  });

  test('are all drawn up anew with another config', () => {
    const { book } = openBook();
    expect(book.account(week, saturday).site.cost).toBe(1_000_000);
    book.reconfigure(basis(0.3));
    expect(book.account(week, saturday).site.cost).toBe(1_500_000);
  });

  test('and when the books turn out to begin earlier', () => {
    const { book, store } = openBook();
    book.account(week, saturday);
    const early = entry(day('2026-05-10').from, 'pump', 1);
    store.book(early);
    book.touched(early.slot);
    expect(book.account(day('2026-05-11'), saturday).site.elapsed).toBe(24 * HOUR);
  });

  test('are forgotten one by one when there are too many, the first asked for first', () => {
    const { book, readBy } = openBook(2);
    const [a, b, c] = dates.map(day) as [Span, Span, Span];
    for (const span of [a, b, c]) book.account(span, saturday); // forgets a
    expect(readBy(() => book.account(b, saturday))).toEqual([]);
    expect(readBy(() => book.account(c, saturday))).toEqual([]);
    expect(readBy(() => book.account(a, saturday))).toEqual([a]);
  });

  test('may be more devices than there is room for', () => {
    const { book } = openBook(0);
    expect(book.account(week, saturday).site.energy).toBe(5_000_000);
  });
});

test('whatever is posted, corrected, published, asked for and forgotten, it says what one drawing says', () => {
  fc.assert(
    fc.property(
      history,
      fc.array(fc.tuple(fc.nat({ max: 9 }), fc.nat({ max: 2976 }), fc.nat({ max: 2976 })), {
        minLength: 1,
        maxLength: 8,
      }),
      fc.nat({ max: 60 }),
      (of, questions, remembered) => {
        const { month } = of;
        const drawnWith = basisOfHistory(of);
        const store = memoryStore();
        const plain = memoryStore({ keeps: false });
        const book = createAccountBook(store, drawnWith, remembered);
        const entries = [...of.entries].sort((a, b) => a.energy - b.energy);
        const corrections = [...of.corrections];
        const prices = pricesOf(of);
        for (const [batch, x, y] of questions) {
          const posted = entries.splice(0, batch);
          const corrected = corrections.splice(0, batch % 2);
          const published = prices.splice(0, 20 * batch);
          for (const each of [store, plain]) {
            each.book(...posted);
            each.correct(...corrected);
            each.publish(...published);
          }
          for (const { slot } of posted) book.touched(slot);
          const slots = [x, y].sort((a, b) => a - b).map((n) => later(month.from, n * SLOT));
          const span = { from: slots[0], to: slots[1] } as Span;
          const now = later(month.from, (10 + batch) * 2 * 24 * HOUR);
          const drawn = createAccountBook(plain, drawnWith, 0).account(span, now);
          expect(book.account(span, now)).toEqual(drawn);
        }
      },
    ),
    tries(200),
  );
});
