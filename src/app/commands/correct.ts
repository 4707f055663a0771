import { parseArgs } from 'node:util';
import { type Correction, countedEntries, type Entry } from '../../books/index.ts';
import { type Clerk, openClerk } from '../../storage/index.ts';
import { CodedError, type MilliwattHours, SLOT, type Span } from '../../units/index.ts';
import { createSystemClock } from '../clock.ts';
import { openAccounts } from './accounts.ts';
import { type CommandBooks, commandBooks } from './command-books.ts';
import { WRONG_CONFIG } from './config-argument.ts';
import { spanBetween } from './moments.ts';
import { table } from './table.ts';

const HOW =
  'ampulla correct FILE --device ID --from WHEN --to WHEN (--void | --kwh N) --reason WORDS';

/** `ampulla correct FILE`: books or voids a span by hand, or withdraws that again; lists otherwise. */
export async function correctCommand(args: string[]): Promise<number> {
  const { values, positionals } = parseArgs({
    args,
    allowPositionals: true,
    options: {
      device: { type: 'string' },
      from: { type: 'string' },
      to: { type: 'string' },
      void: { type: 'boolean' },
      kwh: { type: 'string' },
      withdraw: { type: 'string' },
      reason: { type: 'string' },
    },
  });
  const books = commandBooks('correct', positionals, HOW);
  if (books === undefined) return WRONG_CONFIG;
  const clerk = openClerk({ file: books.store });
  try {
    if (values.withdraw !== undefined) {
      withdraw(clerk, values.withdraw, reasonOf(values.reason), books);
    } else if (values.device !== undefined || values.from !== undefined) {
      make(clerk, values, books);
    }
    process.stdout.write(`${listing(clerk.allCorrections(), books)}\n`);
    return 0;
  } finally {
    clerk.close();
  }
}

interface Asked {
  readonly device?: string | undefined;
  readonly from?: string | undefined;
  readonly to?: string | undefined;
  readonly void?: boolean | undefined;
  readonly kwh?: string | undefined;
  readonly reason?: string | undefined;
}

function make(clerk: Clerk, asked: Asked, books: CommandBooks): void {
  const { device, from, to } = asked;
  if (device === undefined || from === undefined || to === undefined) throw misused();
  if ((asked.void === true) === (asked.kwh !== undefined)) throw misused();
  if (!Object.hasOwn(books.config.devices, device)) {
    throw new CodedError('AMP_CORRECT_DEVICE', `the configuration has no device '${device}'`, {
      remedy: `use one of ${Object.keys(books.config.devices).join(', ')}`,
    });
  }
  const span = spanBetween(from, to, books.calendar);
  requireSlots(span);
  const now = createSystemClock().now();
  if (span.to > now) throw future();
  const energy = asked.kwh === undefined ? 0 : energyOf(asked.kwh);
  const reason = reasonOf(asked.reason);
  const { basis } = openAccounts(clerk, books);
  const before = standing(countedEntries(span, clerk, basis), device, books);
  const number = clerk.addCorrection({
    device,
    span,
    kind: asked.kwh === undefined ? 'void' : 'book',
    energy: energy as MilliwattHours,
    reason,
    made: now,
  });
  process.stdout.write(`Correction ${number} is made. What stood there before: ${before}.\n\n`);
}

function withdraw(clerk: Clerk, text: string, reason: string, books: CommandBooks): void {
  const correction = clerk.allCorrections().find(({ number }) => String(number) === text);
  if (correction === undefined || correction.withdrawn !== undefined) {
    throw new CodedError(
      'AMP_CORRECT_NUMBER',
      correction === undefined
        ? `there is no correction ${text}`
        : `correction ${text} was withdrawn on ${books.words.moment(correction.withdrawn?.at ?? correction.made)}`,
      { remedy: 'ampulla correct FILE lists them with their numbers' },
    );
  }
  clerk.withdrawCorrection(correction.number, { at: createSystemClock().now(), reason });
}

/** Energy is booked by quarter-hours, so that no smaller part of it can be taken back. */
function requireSlots({ from, to }: Span): void {
  if (from % SLOT === 0 && to % SLOT === 0) return;
  throw new CodedError('AMP_CORRECT_SLOT', 'a correction begins and ends on quarter-hours', {
    remedy: 'use :00, :15, :30 or :45',
  });
}

function energyOf(text: string): number {
  const kwh = Number(text);
  const energy = Math.round(kwh * 1e6);
  if (text.trim() !== '' && Number.isFinite(kwh) && kwh > 0 && kwh <= 100_000) return energy;
  throw new CodedError('AMP_CORRECT_ENERGY', `'${text}' is no energy to book`, {
    remedy: 'give --kwh a number above 0, with a decimal point; --void takes energy away',
  });
}

function reasonOf(text: string | undefined): string {
  const reason = text?.trim() ?? '';
  if (reason !== '' && reason.length <= 500) return reason;
  throw new CodedError('AMP_CORRECT_REASON', 'a correction needs its reason', {
    remedy: "add --reason 'plug was swapped for a day', so that it can be understood years later",
  });
}

const future = (): CodedError =>
  new CodedError('AMP_CORRECT_FUTURE', 'the span is not over', {
    remedy: 'correct what has been; end it on a quarter-hour that has passed',
  });

const misused = (): CodedError =>
  new CodedError(
    'AMP_APP_USAGE',
    'a correction has a device, a span, and one of --void and --kwh',
    {
      remedy: HOW,
    },
  );

function standing(entries: Iterable<Entry>, device: string, { words }: CommandBooks): string {
  const sums = new Map<string, number>();
  for (const entry of entries) {
    if (entry.device === device) {
      sums.set(entry.known, (sums.get(entry.known) ?? 0) + entry.energy);
    }
  }
  if (sums.size === 0) return 'nothing';
  return [...sums]
    .map(([known, energy]) => `${words.energy(energy as MilliwattHours)} ${known}`)
    .join(', ');
}

function listing(corrections: readonly Correction[], { words }: CommandBooks): string {
  if (corrections.length === 0) return 'No correction has been made.';
  return table(
    [
      { title: 'no.', right: true },
      { title: 'device' },
      { title: 'from' },
      { title: 'to' },
      { title: 'what' },
      { title: 'made' },
      { title: 'why' },
    ],
    corrections.map(({ number, device, span, kind, energy, reason, made, withdrawn }) => [
      String(number),
      device,
      words.moment(span.from),
      words.moment(span.to),
      `${kind === 'void' ? 'void' : `+ ${words.energy(energy)}`}${withdrawn === undefined ? '' : ', withdrawn'}`,
      words.moment(made),
      withdrawn === undefined ? reason : `${reason}; withdrawn: ${withdrawn.reason}`,
    ]),
  );
}
