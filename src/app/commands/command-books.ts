import { dirname, resolve } from 'node:path';
import type { Config } from '../../config/index.ts';
import { createWords, type Words } from '../../exports/index.ts';
import { Calendar, CodedError } from '../../units/index.ts';
import { configArgument } from './config-argument.ts';

/** What a command about the books goes by. */
export interface CommandBooks {
  readonly config: Config;
  /** The configuration file. */
  readonly file: string;
  /** The store it names. */
  readonly store: string;
  readonly calendar: Calendar;
  readonly words: Words;
}

/**
 * The books of the configuration that a command is given as its first argument; undefined when the
 * configuration is wrong, and then every mistake has been told.
 * @throws CodedError AMP_APP_USAGE when there are more arguments than `rest` more.
 */
export function commandBooks(
  command: string,
  positionals: readonly string[],
  remedy: string,
  rest = 0,
): CommandBooks | undefined {
  if (positionals.length > 1 + rest) {
    throw new CodedError('AMP_APP_USAGE', `${command} takes no '${positionals[1 + rest]}'`, {
      remedy,
    });
  }
  const given = configArgument(command, positionals.slice(0, 1), remedy);
  if (given === undefined) return undefined;
  const { config } = given.loaded;
  const calendar = new Calendar(config.site.time_zone);
  return {
    config,
    file: given.file,
    store: resolve(dirname(given.file), config.store.file),
    calendar,
    words: createWords({ ...config.site, calendar }),
  };
}
