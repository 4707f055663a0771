import { parseArgs } from 'node:util';
import {
  countedEntries,
  daysIn,
  type KeptBill,
  publishedPrices,
  reconcile,
} from '../../books/index.ts';
import { reconciliationText } from '../../exports/index.ts';
import { type Clerk, openClerk } from '../../storage/index.ts';
import {
  CodedError,
  type LocalDate,
  type MicroUnits,
  type MilliwattHours,
  type Span,
} from '../../units/index.ts';
import { createSystemClock } from '../clock.ts';
import { openAccounts } from './accounts.ts';
import { type CommandBooks, commandBooks } from './command-books.ts';
import { WRONG_CONFIG } from './config-argument.ts';
import { table } from './table.ts';

const HOW =
  'ampulla bill FILE --from 2026-01-01 --to 2026-01-31 [--kwh N] [--total N] [--note WORDS]';

/** `ampulla bill FILE`: enters a bill and holds the books against it; lists bills otherwise. */
export async function billCommand(args: string[]): Promise<number> {
  const { values, positionals } = parseArgs({
    args,
    allowPositionals: true,
    options: {
      from: { type: 'string' },
      to: { type: 'string' },
      kwh: { type: 'string' },
      total: { type: 'string' },
      note: { type: 'string' },
      number: { type: 'string' },
      withdraw: { type: 'string' },
      reason: { type: 'string' },
    },
  });
  const books = commandBooks('bill', positionals, HOW);
  if (books === undefined) return WRONG_CONFIG;
  const clerk = openClerk({ file: books.store });
  try {
    if (values.withdraw !== undefined) {
      withdraw(clerk, values.withdraw, values.reason);
    } else if (values.number !== undefined) {
      print(clerk, books, billNumbered(clerk, values.number));
      return 0;
    } else if (values.from !== undefined || values.to !== undefined) {
      print(clerk, books, enter(clerk, values, books));
      return 0;
    }
    process.stdout.write(`${listing(clerk.bills(), books)}\n`);
    return 0;
  } finally {
    clerk.close();
  }
}

interface Asked {
  readonly from?: string | undefined;
  readonly to?: string | undefined;
  readonly kwh?: string | undefined;
  readonly total?: string | undefined;
  readonly note?: string | undefined;
}

/** What is held against the books: a bill that is now on record, or days alone. */
type Held = Pick<KeptBill, 'first' | 'last'> & { readonly bill: KeptBill | undefined };

function enter(clerk: Clerk, asked: Asked, { calendar }: CommandBooks): Held {
  const first = dateOf(asked.from);
  const last = dateOf(asked.to);
  const now = createSystemClock().now();
  if (first > last || calendar.dayOf(last).to > now) {
    throw new CodedError('AMP_BILL_DAYS', `no bill is of ${first} to ${last}`, {
      remedy: 'give the first and the last day of the bill; both must be over',
    });
  }
  const energy = asked.kwh === undefined ? undefined : amountOf(asked.kwh, '--kwh');
  const total = asked.total === undefined ? undefined : amountOf(asked.total, '--total');
  if (energy === undefined && total === undefined) return { first, last, bill: undefined };
  const number = clerk.addBill({
    first,
    last,
    energy: energy as MilliwattHours | undefined,
    total: total as MicroUnits | undefined,
    note: asked.note,
    made: now,
  });
  process.stdout.write(`Bill ${number} is on record.\n\n`);
  return billNumbered(clerk, String(number));
}

function billNumbered(clerk: Clerk, text: string): Held {
  const bill = clerk.bills().find(({ number }) => String(number) === text);
  if (bill === undefined) {
    throw new CodedError('AMP_BILL_NUMBER', `there is no bill ${text}`, {
      remedy: 'ampulla bill FILE lists them with their numbers',
    });
  }
  return { first: bill.first, last: bill.last, bill };
}

function withdraw(clerk: Clerk, text: string, words: string | undefined): void {
  const { bill } = billNumbered(clerk, text);
  const reason = words?.trim() ?? '';
  if (reason === '') {
    throw new CodedError('AMP_BILL_REASON', 'withdrawing a bill needs its reason', {
      remedy: "add --reason 'typed the wrong month'",
    });
  }
  clerk.withdrawBill(bill?.number ?? 0, { at: createSystemClock().now(), reason });
}

function print(clerk: Clerk, books: CommandBooks, { first, last, bill }: Held): void {
  const { config, calendar } = books;
  const { currency, locale } = config.site;
  const { basis, book, now } = openAccounts(clerk, books);
  const span: Span = { from: calendar.dayOf(first).from, to: calendar.dayOf(last).to };
  const reconciliation = reconcile({
    span,
    calendar,
    tariffs: basis.tariffs,
    currency,
    house: clerk.house(span),
    entries: countedEntries(span, clerk, basis),
    days: [...daysIn(span, calendar)].map((day) => book.account(day, now)),
    publishedAt: publishedPrices((series, part) => clerk.slotPrices(series, part)),
    bill,
  });
  process.stdout.write(reconciliationText(reconciliation, { locale, currency, calendar }));
}

function listing(bills: readonly KeptBill[], { words }: CommandBooks): string {
  if (bills.length === 0) return `No bill is on record. To enter one:\n  ${HOW}`;
  return table(
    [
      { title: 'no.', right: true },
      { title: 'from' },
      { title: 'to' },
      { title: 'energy', right: true },
      { title: 'total', right: true },
      { title: 'entered' },
      { title: 'note' },
    ],
    bills.map(({ number, first, last, energy, total, note, made, withdrawn }) => [
      String(number),
      first,
      last,
      energy === undefined ? '–' : words.energy(energy),
      total === undefined ? '–' : words.money(total),
      words.moment(made),
      [note, withdrawn && `withdrawn: ${withdrawn.reason}`].filter(Boolean).join('; '),
    ]),
  );
}

function dateOf(text: string | undefined): LocalDate {
  if (text !== undefined && /^\d{4}-\d{2}-\d{2}$/.test(text)) return text as LocalDate;
  throw new CodedError('AMP_APP_USAGE', 'a bill has its first and its last day', { remedy: HOW });
}

function amountOf(text: string, option: string): number {
  const amount = Number(text);
  const whole = Math.round(amount * 1e6);
  if (text.trim() !== '' && Number.isSafeInteger(whole)) return whole;
  throw new CodedError('AMP_BILL_AMOUNT', `'${text}' is no amount`, {
    remedy: `give ${option} a number with a decimal point and nothing else, such as 137.53`,
  });
}
