import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { open } from 'node:fs/promises';
import { parseArgs } from 'node:util';
import {
  type EspiOptions,
  type HouseColumns,
  type HouseCsvOptions,
  type HouseImport,
  type PriceColumns,
  type PriceCsvOptions,
  type PriceImport,
  readEspi,
  readHouseCsv,
  readPriceCsv,
} from '../../imports/index.ts';
import { type Clerk, openClerk, type Taken } from '../../storage/index.ts';
import { CodedError, type Instant, type Span } from '../../units/index.ts';
import { createSystemClock } from '../clock.ts';
import { type CommandBooks, commandBooks } from './command-books.ts';
import { WRONG_CONFIG } from './config-argument.ts';

const HOW =
  'ampulla import FILE house DATA… [--meter ID], or ampulla import FILE prices SERIES DATA… [--minutes 15]; --columns start=HEADER,energy=HEADER,unit=kWh';

/** `ampulla import FILE house|prices …`: what the utility or the market published, all or nothing. */
export async function importCommand(args: string[]): Promise<number> {
  const { values, positionals } = parseArgs({
    args,
    allowPositionals: true,
    options: {
      meter: { type: 'string' },
      minutes: { type: 'string' },
      columns: { type: 'string' },
      'leave-out-others': { type: 'boolean', default: false },
    },
  });
  const [file, what, ...rest] = positionals;
  const books = commandBooks('import', file === undefined ? [] : [file], HOW);
  if (books === undefined) return WRONG_CONFIG;
  if (what === 'house' && rest.length > 0) {
    return importHouse(books, rest, {
      ...(values.meter === undefined ? {} : { meter: values.meter }),
      ...houseColumns(values.columns),
      others: values['leave-out-others'] ? 'leave-out' : 'refuse',
    });
  }
  const [series, ...tables] = rest;
  if (what === 'prices' && series !== undefined && tables.length > 0) {
    return importPrices(books, series, tables, {
      ...minutesOf(values.minutes),
      ...priceColumns(values.columns),
    });
  }
  throw misused('import takes house or prices, and what to read');
}

async function importHouse(
  books: CommandBooks,
  files: readonly string[],
  {
    columns,
    others,
    ...meter
  }: Pick<HouseCsvOptions, 'meter' | 'columns'> & Pick<EspiOptions, 'others'>,
): Promise<number> {
  const { calendar, config } = books;
  const { currency } = config.site;
  const named = columns === undefined ? {} : { columns };
  const read = await readAll(files, async (chunks, isXml) =>
    isXml
      ? readEspi(chunks, { calendar, currency, others: others ?? 'refuse', ...meter })
      : readHouseCsv(chunks, { calendar, ...meter, ...named }),
  );
  const store = openClerk({ file: books.store });
  try {
    const at = createSystemClock().now();
    store.together(() => {
      for (const { file, sha256, content } of read) {
        const taken = keepHouse(store, file, content, at);
        const id = content.meters.map(({ id: one }) => one).join(', ');
        store.addImport({ what: 'house', id, file, sha256, ...taken, at });
        tell(file, taken, content.span, content.warnings, books);
        process.stdout.write(
          `  ${id}: ${books.words.energy(content.energy)}${costOf(content, books)}\n`,
        );
      }
    });
    return 0;
  } finally {
    store.close();
  }
}

function keepHouse(store: Clerk, file: string, { meters }: HouseImport, at: Instant): Taken {
  return store.addHouse(
    meters.flatMap(({ intervals }) => intervals),
    file,
    at,
  );
}

const costOf = ({ cost }: HouseImport, { words }: CommandBooks): string =>
  cost === undefined ? '' : `, ${words.money(cost)} by the utility`;

async function importPrices(
  books: CommandBooks,
  series: string,
  files: readonly string[],
  options: Pick<PriceCsvOptions, 'minutes' | 'columns'>,
): Promise<number> {
  const read = await readAll(files, (chunks) =>
    readPriceCsv(chunks, { calendar: books.calendar, series, ...options }),
  );
  const store = openClerk({ file: books.store });
  try {
    const at = createSystemClock().now();
    store.together(() => {
      for (const { file, sha256, content } of read) {
        const taken = store.addSlotPrices(content.prices, at);
        store.addImport({ what: 'slot-prices', id: series, file, sha256, ...taken, at });
        tell(file, taken, content.span, content.warnings, books);
        tellHoles(content, books);
      }
    });
    return 0;
  } finally {
    store.close();
  }
}

function tellHoles({ holes }: PriceImport, { words }: CommandBooks): void {
  const [first] = holes;
  if (first === undefined) return;
  const others = holes.length === 1 ? '' : `, and ${holes.length - 1} more such times`;
  process.stdout.write(
    `  no price from ${words.moment(first.from)} to ${words.moment(first.to)}${others}: energy of that time has no cost\n`,
  );
}

function tell(
  file: string,
  { added, changed, same }: Taken,
  span: Span,
  warnings: readonly string[],
  { words }: CommandBooks,
): void {
  process.stdout.write(
    `${file}: ${words.count(added)} new, ${words.count(changed)} changed, ${words.count(same)} known already, from ${words.moment(span.from)} to ${words.moment(span.to)}\n`,
  );
  for (const warning of warnings) process.stdout.write(`  ${warning}\n`);
}

interface ReadFile<Content> {
  readonly file: string;
  readonly sha256: string;
  readonly content: Content;
}

/** Reads every file before anything is kept: one bad file, and nothing of the others counts. */
async function readAll<Content>(
  files: readonly string[],
  read: (chunks: AsyncIterable<Uint8Array>, isXml: boolean) => Promise<Content>,
): Promise<ReadFile<Content>[]> {
  const contents: ReadFile<Content>[] = [];
  for (const file of files) {
    const hash = createHash('sha256');
    try {
      const isXml = await beginsLikeXml(file);
      const content = await read(hashed(createReadStream(file), hash), isXml);
      contents.push({ file, sha256: hash.digest('hex'), content });
    } catch (error) {
      throw named(error, file);
    }
  }
  return contents;
}

async function* hashed(
  chunks: AsyncIterable<Buffer>,
  hash: ReturnType<typeof createHash>,
): AsyncGenerator<Uint8Array> {
  for await (const chunk of chunks) {
    hash.update(chunk);
    yield chunk;
  }
}

/** Of the first characters that are no blanks and no byte order mark. */
async function beginsLikeXml(file: string): Promise<boolean> {
  const handle = await open(file);
  try {
    const { buffer, bytesRead } = await handle.read(Buffer.alloc(1024), 0, 1024, 0);
    return buffer
      .subarray(0, bytesRead)
      .toString('utf8')
      .replace(/^\uFEFF/, '')
      .trimStart()
      .startsWith('<');
  } finally {
    await handle.close();
  }
}

/** What is wrong with a file names the file. */
function named(error: unknown, file: string): unknown {
  if (error instanceof CodedError) {
    const { remedy, code, message } = error;
    return new CodedError(code, `${file}: ${message}`, {
      ...(remedy === undefined ? {} : { remedy }),
      cause: error,
    });
  }
  if (error instanceof Error && 'code' in error) {
    return new CodedError('AMP_IMPORT_FILE', `${file} cannot be read: ${error.message}`, {
      remedy: 'check its name and whether you may read it; nothing was imported',
      cause: error,
    });
  }
  return error;
}

function minutesOf(text: string | undefined): { minutes?: 15 | 60 } {
  if (text === undefined) return {};
  if (text === '15') return { minutes: 15 };
  if (text === '60') return { minutes: 60 };
  throw misused(`--minutes is 15 or 60, not '${text}'`);
}

const HOUSE_COLUMNS = ['start', 'end', 'minutes', 'energy', 'unit', 'cost', 'quality'];
const PRICE_COLUMNS = ['start', 'end', 'price', 'unit'];

function houseColumns(text: string | undefined): { columns?: HouseColumns } {
  if (text === undefined) return {};
  const { start, energy, unit = 'kWh', ...more } = namesIn(text, HOUSE_COLUMNS);
  if (start === undefined || energy === undefined) throw misused('--columns lacks start or energy');
  if (unit !== 'Wh' && unit !== 'kWh' && unit !== 'MWh') throw misused(`no energy is in ${unit}`);
  return { columns: { ...more, start, energy, unit } };
}

function priceColumns(text: string | undefined): { columns?: PriceColumns } {
  if (text === undefined) return {};
  const { start, price, unit = 'per-kwh', ...more } = namesIn(text, PRICE_COLUMNS);
  if (start === undefined || price === undefined) throw misused('--columns lacks start or price');
  if (unit !== 'per-kwh' && unit !== 'per-mwh' && unit !== 'cents-per-kwh') {
    throw misused(`no price is ${unit}`);
  }
  return { columns: { ...more, start, price, unit } };
}

/** 'start=From,energy=Used' */
function namesIn(text: string, known: readonly string[]): Readonly<Record<string, string>> {
  return Object.fromEntries(
    text.split(',').map((pair) => {
      const [ours, ...theirs] = pair.split('=');
      const name = theirs.join('=').trim();
      if (ours === undefined || !known.includes(ours.trim()) || name === '') {
        throw misused(
          `'${pair}' is no column: give pairs of ${known.join(', ')} and their headers`,
        );
      }
      return [ours.trim(), name];
    }),
  );
}

const misused = (message: string): CodedError =>
  new CodedError('AMP_APP_USAGE', message, { remedy: HOW });
