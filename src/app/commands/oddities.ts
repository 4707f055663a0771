import { parseArgs } from 'node:util';
import { openStoreReader, type StoreReader } from '../../storage/index.ts';
import { type CommandBooks, commandBooks } from './command-books.ts';
import { WRONG_CONFIG } from './config-argument.ts';
import { table } from './table.ts';

/** `ampulla oddities FILE`: what was refused, and what meters found wrong and put right. */
export async function odditiesCommand(args: string[]): Promise<number> {
  const { positionals } = parseArgs({ args, allowPositionals: true });
  const books = commandBooks('oddities', positionals, 'ampulla oddities FILE');
  if (books === undefined) return WRONG_CONFIG;
  const reader = openStoreReader({ file: books.store });
  try {
    process.stdout.write(`${refusalTable(reader, books)}\n\n${noteTable(reader, books)}\n`);
    return 0;
  } finally {
    reader.close();
  }
}

function refusalTable(reader: StoreReader, { words }: CommandBooks): string {
  const refusals = reader.refusals();
  if (refusals.length === 0) return 'No value has been refused.';
  return `Refused values, the latest first\n${table(
    [
      { title: 'why' },
      { title: 'times', right: true },
      { title: 'feed' },
      { title: 'source' },
      { title: 'last' },
      { title: 'topic' },
      { title: 'value' },
    ],
    refusals.map(({ reason, count, feed, source, at, topic, found }) => [
      reason,
      words.count(count),
      feed ?? '–',
      source?.id ?? '–',
      words.moment(at),
      topic,
      found,
    ]),
  )}`;
}

function noteTable(reader: StoreReader, { words }: CommandBooks): string {
  const counts = reader.noteCounts();
  if (counts.length === 0) return 'No meter had anything to put right.';
  return `What meters noted; every raw value: ampulla export FILE notes\n${table(
    [{ title: 'plug' }, { title: 'what' }, { title: 'times', right: true }, { title: 'last' }],
    counts.map(({ plug, event, count, last }) => [
      plug,
      event,
      words.count(count),
      last === undefined ? '–' : words.moment(last),
    ]),
  )}`;
}
