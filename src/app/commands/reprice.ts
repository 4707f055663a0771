import { setImmediate as turn } from 'node:timers/promises';
import { parseArgs } from 'node:util';
import {
  beginRepricing,
  type Repriced,
  type Repricing,
  type RepricingSummary,
} from '../../books/index.ts';
import { emptyBatch, openClerk, openStore } from '../../storage/index.ts';
import { CodedError, type MicroUnits } from '../../units/index.ts';
import { createSystemClock } from '../clock.ts';
import { createProgressBar } from '../progress-bar.ts';
import { repricingRecord } from '../repriced.ts';
import { basisOf, type Terms, termsOf } from '../terms.ts';
import { termsInForce } from './accounts.ts';
import { type CommandBooks, commandBooks } from './command-books.ts';
import { WRONG_CONFIG } from './config-argument.ts';
import { table } from './table.ts';

const HOW = 'ampulla reprice FILE [--apply]';
/** As shells have it for a process that was interrupted. */
const INTERRUPTED = 130;

/**
 * `ampulla reprice FILE`: what the tariffs and shares of the file would make of past days, against
 * those in force. With --apply they come into force; a running daemon does that when it reads the
 * file again.
 */
export async function repriceCommand(args: string[]): Promise<number> {
  const { values, positionals } = parseArgs({
    args,
    allowPositionals: true,
    options: { apply: { type: 'boolean', default: false } },
  });
  const books = commandBooks('reprice', positionals, HOW);
  if (books === undefined) return WRONG_CONFIG;
  const after = termsOf(books.config);
  const summary = await priceAnew(books, after);
  if (summary === undefined) return INTERRUPTED;
  process.stdout.write(`${report(summary, books)}\n`);
  if (values.apply) apply(books, after, summary);
  else if (summary.span !== undefined)
    process.stdout.write(
      '\nNothing has changed yet. --apply, or the daemon reading the file again, brings it into force.\n',
    );
  return 0;
}

/** Undefined when it was interrupted. */
async function priceAnew(books: CommandBooks, after: Terms): Promise<RepricingSummary | undefined> {
  const clerk = openClerk({ file: books.store });
  try {
    const before = basisOf(termsInForce(clerk, books));
    const job = beginRepricing(clerk, before, basisOf(after), createSystemClock().now());
    return (await finished(job)) ? job.summary() : undefined;
  } finally {
    clerk.close();
  }
}

async function finished(job: Repricing): Promise<boolean> {
  const interrupted = new AbortController();
  const interrupt = (): void => interrupted.abort();
  process.once('SIGINT', interrupt);
  process.once('SIGTERM', interrupt);
  const bar = createProgressBar(process.stderr, 'pricing past days anew');
  try {
    while (job.step()) {
      bar.at(job.progress);
      await turn();
      if (interrupted.signal.aborted) break;
    }
  } finally {
    bar.end();
    process.off('SIGINT', interrupt);
    process.off('SIGTERM', interrupt);
  }
  if (!interrupted.signal.aborted) return true;
  process.stderr.write(
    `ampulla: interrupted at ${Math.floor(job.progress * 100)} %; nothing has changed, and the next run goes on from there\n`,
  );
  return false;
}

/** With no daemon running; else it is the daemon's to do. */
function apply(books: CommandBooks, terms: Terms, summary: RepricingSummary): void {
  let store: ReturnType<typeof openStore>;
  try {
    store = openStore({ file: books.store });
  } catch (error) {
    if (!(error instanceof CodedError) || error.code !== 'AMP_STORE_IN_USE') throw error;
    throw new CodedError('AMP_REPRICE_DAEMON', 'the daemon runs with these books', {
      remedy: 'send it a SIGHUP: it reads the file again, and most of the work is done already',
      cause: error,
    });
  }
  try {
    const record = repricingRecord(summary, createSystemClock().now());
    store.commit({
      ...emptyBatch,
      states: [{ room: 'app', key: 'terms', state: terms }],
      repricings: record === undefined ? [] : [record],
    });
  } finally {
    store.close();
  }
  process.stdout.write('\nIt is in force.\n');
}

function report(summary: RepricingSummary, books: CommandBooks): string {
  const { words } = books;
  const { span, site, tanks, months, standing, provisional } = summary;
  if (span === undefined) return 'No past day would cost anything else.';
  const lines = [
    `Past days from ${words.moment(span.from)} to ${words.moment(span.to)} would cost`,
    rows('month', [...months], books),
    '',
    rows(
      'tank',
      [...tanks].filter(([, { before, after }]) => before.cost !== after.cost),
      books,
    ),
    '',
    rows('', [['all devices', site]], books),
  ];
  if (standing.before !== standing.after) {
    lines.push(
      `Standing charges, apart: ${words.money(standing.before)} before, ${words.money(standing.after)} after.`,
    );
  }
  if (site.before.unpriced !== site.after.unpriced) {
    lines.push(
      `Without a price: ${words.energy(site.before.unpriced)} before, ${words.energy(site.after.unpriced)} after.`,
    );
  }
  if (provisional) lines.push('Prices by blocks of a month under way are as of now.');
  return lines.join('\n');
}

const rows = (
  title: string,
  all: readonly (readonly [string, Repriced])[],
  { words }: CommandBooks,
): string =>
  table(
    [
      { title },
      { title: 'energy', right: true },
      { title: 'before', right: true },
      { title: 'after', right: true },
      { title: 'difference', right: true },
    ],
    all.map(([id, { before, after }]) => [
      id,
      words.energy(after.energy),
      words.money(before.cost),
      words.money(after.cost),
      words.difference((after.cost - before.cost) as MicroUnits),
    ]),
  );
