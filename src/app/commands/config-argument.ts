import { parseArgs } from 'node:util';
import { formatProblems, type LoadedConfig, loadConfig } from '../../config/index.ts';
import { CodedError } from '../../units/index.ts';

/** sysexits.h EX_CONFIG: a supervisor need not try again. */
export const WRONG_CONFIG = 78;

/**
 * The configuration that a command is given as its one argument; undefined when it is wrong, and
 * then every mistake has been told.
 * @throws CodedError AMP_APP_USAGE when there is not exactly one argument.
 */
export function configArgument(
  command: string,
  args: string[],
  remedy: string,
): { readonly file: string; readonly loaded: LoadedConfig } | undefined {
  const { positionals } = parseArgs({ args, allowPositionals: true });
  const file = positionals[0];
  if (file === undefined || positionals.length > 1) {
    throw new CodedError('AMP_APP_USAGE', `${command} takes one configuration file`, { remedy });
  }
  const loaded = loadConfig(file, process.env);
  if (loaded.ok) return { file, loaded };
  process.stderr.write(`${formatProblems(loaded.problems)}\n`);
  return undefined;
}
