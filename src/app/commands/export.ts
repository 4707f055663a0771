import { createWriteStream, existsSync, renameSync, rmSync } from 'node:fs';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { parseArgs } from 'node:util';
import {
  type Account,
  type BlocksAt,
  countedEntries,
  dayLines,
  daysIn,
  publishedPrices,
} from '../../books/index.ts';
import {
  EXPORT_FORMATS,
  EXPORT_KINDS,
  type ExportFormat,
  type ExportKind,
  type ExportOptions,
  exportRows,
} from '../../exports/index.ts';
import { type Clerk, openClerk } from '../../storage/index.ts';
import { CodedError, later, SLOT, type Span } from '../../units/index.ts';
import { type Accounts, openAccounts } from './accounts.ts';
import { type CommandBooks, commandBooks } from './command-books.ts';
import { WRONG_CONFIG } from './config-argument.ts';
import { spanBetween } from './moments.ts';

const HOW = `ampulla export FILE ${EXPORT_KINDS.join('|')} [--from WHEN --to WHEN] [--format ${EXPORT_FORMATS.join('|')}] [--out FILE]`;
const BLOCKS_AT: readonly BlocksAt[] = ['average', 'marginal'];
/** Everything that is kept: the store itself bounds it. */
const ALL = 1_000_000;

/** `ampulla export FILE KIND`: the books as a file for other programs. */
export async function exportCommand(args: string[]): Promise<number> {
  const { values, positionals } = parseArgs({
    args,
    allowPositionals: true,
    options: {
      from: { type: 'string' },
      to: { type: 'string' },
      format: { type: 'string', default: 'csv' },
      series: { type: 'string' },
      'blocks-at': { type: 'string' },
      out: { type: 'string' },
      'decimal-comma': { type: 'boolean', default: false },
      'no-byte-order-mark': { type: 'boolean', default: false },
    },
  });
  const books = commandBooks('export', positionals, HOW, 1);
  if (books === undefined) return WRONG_CONFIG;
  const kind = oneOf(positionals[1], EXPORT_KINDS);
  const format = oneOf<ExportFormat>(values.format, EXPORT_FORMATS);
  const { out } = values;
  const blocksAt =
    values['blocks-at'] === undefined ? undefined : oneOf(values['blocks-at'], BLOCKS_AT);
  if (out !== undefined && existsSync(out)) {
    throw new CodedError('AMP_EXPORT_EXISTS', `there is a file '${out}' already`, {
      remedy: 'name a file that does not exist yet; it was left as it is',
    });
  }
  const clerk = openClerk({ file: books.store });
  try {
    const accounts = openAccounts(clerk, books);
    const span = spanOf(values.from, values.to, clerk, accounts, books);
    const rows = pieces(
      kind,
      { clerk, accounts, books, span, blocksAt, series: values.series },
      {
        site: siteOf(clerk, accounts, books),
        format,
        decimalComma: values['decimal-comma'],
        byteOrderMark: !values['no-byte-order-mark'],
      },
    );
    if (out === undefined) await toScreen(rows);
    else await toFile(rows, out);
    return 0;
  } finally {
    clerk.close();
  }
}

interface Asked {
  readonly clerk: Clerk;
  readonly accounts: Accounts;
  readonly books: CommandBooks;
  readonly span: Span;
  readonly blocksAt: BlocksAt | undefined;
  readonly series: string | undefined;
}

function pieces(kind: ExportKind, asked: Asked, options: ExportOptions): Iterable<string> {
  const { clerk, accounts, span, blocksAt } = asked;
  const { basis, book, now } = accounts;
  switch (kind) {
    case 'entries':
      return exportRows(kind, countedEntries(span, clerk, basis), options);
    case 'days':
      return exportRows(kind, dayLines(span, clerk, basis, book, now), options);
    case 'tanks':
      return exportRows(kind, dayAccounts(asked), options);
    case 'devices':
      return exportRows(kind, book.account(span, now, { blocksAt }), options);
    case 'house':
      return exportRows(kind, clerk.house(span), options);
    case 'prices':
      return exportRows(kind, pricesOf(asked), options);
    case 'corrections':
      return exportRows(kind, clerk.allCorrections(), options);
    case 'notes':
      return exportRows(
        kind,
        {
          meters: clerk.notes({ span, limit: ALL }),
          refusals: clerk.refused({ span, limit: ALL }),
        },
        options,
      );
  }
}

/** Drawn one by one as they are written. */
function* dayAccounts({
  accounts: { book, now },
  books,
  span,
  blocksAt,
}: Asked): Generator<Account> {
  for (const day of daysIn(span, books.calendar)) yield book.account(day, now, { blocksAt });
}

/** Of the series that is asked for, or of all that tariffs go by. */
function pricesOf({ clerk, accounts, span, series }: Asked) {
  const all = accounts.basis.tariffs.tariffs.flatMap((tariff) => tariff.series ?? []);
  const wanted = series === undefined ? [...new Set(all)] : [series];
  return wanted.flatMap((id) => clerk.slotPrices(id, span));
}

function siteOf(
  clerk: Clerk,
  { basis }: Accounts,
  { config }: CommandBooks,
): ExportOptions['site'] {
  return {
    calendar: basis.calendar,
    currency: config.site.currency,
    tariffs: basis.tariffs,
    deviceName: (id) => config.devices[id]?.name,
    tankName: (id) => config.tanks[id]?.name,
    publishedAt: publishedPrices((series, span) => clerk.slotPrices(series, span)),
  };
}

/** As asked; else all that the books hold, in whole local days. */
function spanOf(
  from: string | undefined,
  to: string | undefined,
  clerk: Clerk,
  { now }: Accounts,
  { calendar }: CommandBooks,
): Span {
  const extent = clerk.extent() ?? { from: now, to: later(now, SLOT) };
  const first = from ?? calendar.dateAt(extent.from);
  const last = to ?? calendar.dateAt((extent.to - 1) as Span['to']);
  return spanBetween(first, last, calendar);
}

function oneOf<T extends string>(text: string | undefined, known: readonly T[]): T {
  const found = known.find((one) => one === text);
  if (found !== undefined) return found;
  throw new CodedError(
    'AMP_APP_USAGE',
    text === undefined ? 'export takes what to export' : `nothing is called '${text}'`,
    { remedy: HOW },
  );
}

/** A file appears when it is whole. */
async function toFile(rows: Iterable<string>, out: string): Promise<void> {
  const unfinished = `${out}.unfinished`;
  try {
    await pipeline(Readable.from(rows), createWriteStream(unfinished, { flags: 'wx' }));
    renameSync(unfinished, out);
  } catch (error) {
    rmSync(unfinished, { force: true });
    throw new CodedError(
      'AMP_EXPORT_WRITE',
      `'${out}' cannot be written: ${(error as Error).message}`,
      {
        remedy: 'check the folder, its permissions and the free space',
        cause: error,
      },
    );
  }
}

/** Whoever reads may stop early, as `head` does. */
async function toScreen(rows: Iterable<string>): Promise<void> {
  try {
    await pipeline(Readable.from(rows), process.stdout, { end: false });
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EPIPE') throw error;
  }
}
