import { parseArgs } from 'node:util';
import { prove } from '../../alternatives/index.ts';
import { type Clerk, openClerk } from '../../storage/index.ts';
import {
  CodedError,
  degreesOf,
  type Instant,
  type MicroPerKwh,
  type Span,
} from '../../units/index.ts';
import { proofDays } from '../proof-days.ts';
import { type Accounts, openAccounts } from './accounts.ts';
import { type CommandBooks, commandBooks } from './command-books.ts';
import { WRONG_CONFIG } from './config-argument.ts';
import { spanBetween } from './moments.ts';
import { type ProveTarget, proveTarget } from './prove-target.ts';
import { type ProveWords, proofText } from './prove-text.ts';

const HOW =
  'ampulla prove FILE TANK|DEVICE|--site --changed DAY [--from DAY] [--to DAY] [--no-weather] [--json]';

/** `ampulla prove FILE TANK --changed DAY`: what a change has really saved. */
export async function proveCommand(args: string[]): Promise<number> {
  const { values, positionals } = parseArgs({
    args,
    allowPositionals: true,
    options: {
      site: { type: 'boolean', default: false },
      changed: { type: 'string' },
      from: { type: 'string' },
      to: { type: 'string' },
      'no-weather': { type: 'boolean', default: false },
      json: { type: 'boolean', default: false },
    },
  });
  const books = commandBooks('prove', positionals, HOW, 1);
  if (books === undefined) return WRONG_CONFIG;
  const { changed } = values;
  if (changed === undefined) throw usage('prove takes the day of the change');
  if (values.site === (positionals[1] !== undefined)) {
    throw usage('prove takes a tank, a device, or --site');
  }
  const target = proveTarget(positionals[1], books.config);
  const clerk = openClerk({ file: books.store });
  try {
    const accounts = openAccounts(clerk, books);
    const { before, after } = periodsOf(changed, values, { clerk, accounts, books });
    const parts = { store: clerk, basis: accounts.basis, calendar: books.calendar };
    const proof = prove({
      baseline: before === undefined ? [] : proofDays(target, before, parts),
      reporting: after === undefined ? [] : proofDays(target, after, parts),
      options: { weather: values['no-weather'] ? {} : target.weather },
    });
    const perKwh = after && meanPrice(target, after, accounts);
    process.stdout.write(
      values.json
        ? `${JSON.stringify({ of: positionals[1] ?? 'site', changed, air: target.air ?? null, price_micro_per_kwh: perKwh ?? null, ...proof }, undefined, 2)}\n`
        : `${proofText(proof, target, wordsOf(books), perKwh)}\n`,
    );
    return 0;
  } finally {
    clerk.close();
  }
}

const usage = (what: string): CodedError => new CodedError('AMP_APP_USAGE', what, { remedy: HOW });

/** Whole days of the books on both sides of the day of the change, which is neither. */
function periodsOf(
  changed: string,
  { from, to }: { from?: string | undefined; to?: string | undefined },
  { clerk, accounts, books }: { clerk: Clerk; accounts: Accounts; books: CommandBooks },
): { before: Span | undefined; after: Span | undefined } {
  const { calendar } = books;
  const change = spanBetween(changed, changed, calendar);
  const day = calendar.day(change.from);
  const extent = clerk.extent() ?? { from: accounts.now, to: accounts.now };
  const first = calendar.day(extent.from);
  const start =
    from === undefined ? wholeFrom(extent.from, first) : spanBetween(from, from, calendar).from;
  const today = calendar.day(accounts.now).from;
  const last =
    to === undefined
      ? calendar.day((extent.to - 1) as Instant).to
      : spanBetween(to, to, calendar).to;
  const end = Math.min(last, today);
  return { before: spanOf(start, day.from), after: spanOf(day.to, end as Instant) };
}

const wholeFrom = (at: Instant, day: Span): Instant => (at === day.from ? day.from : day.to);

const spanOf = (from: Instant, to: Instant): Span | undefined =>
  from < to ? { from, to } : undefined;

/** What a kWh of these devices has cost in the span; undefined where nothing has a price. */
function meanPrice(
  { devices }: ProveTarget,
  span: Span,
  { book, now }: Accounts,
): MicroPerKwh | undefined {
  const account = book.account(span, now);
  let [cost, energy] = [0, 0];
  for (const id of devices) {
    const figures = account.devices.get(id);
    if (figures === undefined || figures.unpriced > 0) continue;
    cost += figures.cost;
    energy += figures.energy;
  }
  return energy > 0 ? (Math.round((cost / energy) * 1e6) as MicroPerKwh) : undefined;
}

function wordsOf({ words, config }: CommandBooks): ProveWords {
  const { locale } = config.site;
  const tenths = new Intl.NumberFormat(locale, {
    minimumFractionDigits: 1,
    maximumFractionDigits: 1,
  });
  const { sign, temperature, difference } = degreesOf(locale);
  return {
    ...words,
    celsius: (value) => `${tenths.format(temperature(value))} ${sign}`,
    kelvin: (value) => `${tenths.format(difference(value))} ${sign === '°C' ? 'K' : sign}`,
  };
}
