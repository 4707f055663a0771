import { parseArgs } from 'node:util';
import { openClerk } from '../../storage/index.ts';
import { CodedError } from '../../units/index.ts';
import { ask } from './ask.ts';
import { commandBooks } from './command-books.ts';
import { WRONG_CONFIG } from './config-argument.ts';
import { minutesOf } from './minutes.ts';

const HOW = 'ampulla tending FILE TANK [--minutes N | --end]';

/**
 * `ampulla tending FILE TANK`: hands are in the tank; what was switched off for it raises no alert.
 * Too much heat always does.
 */
export async function tendingCommand(args: string[]): Promise<number> {
  const { values, positionals } = parseArgs({
    args,
    allowPositionals: true,
    options: { minutes: { type: 'string' }, end: { type: 'boolean', default: false } },
  });
  const books = commandBooks('tending', positionals, HOW, 1);
  if (books === undefined) return WRONG_CONFIG;
  const tank = positionals[1];
  if (tank === undefined || !Object.hasOwn(books.config.tanks, tank)) {
    const tanks = Object.keys(books.config.tanks).join(', ');
    throw new CodedError(
      'AMP_APP_TANK',
      tank === undefined ? 'tending takes a tank' : `there is no tank '${tank}'`,
      { remedy: `use one of ${tanks}` },
    );
  }
  const minutes = minutesOf(values.minutes, HOW);
  const clerk = openClerk({ file: books.store });
  try {
    return await ask(
      clerk,
      values.end ? { do: 'end-tending', tank } : { do: 'begin-tending', tank, minutes },
    );
  } finally {
    clerk.close();
  }
}
