import { parseArgs } from 'node:util';
import { describeConfig, formatProblems, loadConfig } from '../config/index.ts';
import { Calendar, CodedError, type LocalDate } from '../units/index.ts';
import { createSystemClock } from './clock.ts';
import { WRONG_CONFIG } from './start.ts';

/** `ampulla check FILE`: says what would run, or every error with its line. */
export async function checkCommand(args: string[]): Promise<number> {
  const { positionals } = parseArgs({ args, allowPositionals: true });
  const file = positionals[0];
  if (file === undefined || positionals.length > 1) {
    throw new CodedError('AMP_APP_USAGE', 'check takes one configuration file', {
      remedy: 'ampulla check FILE',
    });
  }
  const loaded = loadConfig(file, process.env);
  if (!loaded.ok) {
    process.stderr.write(`${formatProblems(loaded.problems)}\n`);
    return WRONG_CONFIG;
  }
  if (loaded.warnings.length > 0) {
    process.stderr.write(`${formatProblems(loaded.warnings)}\n\n`);
  }
  process.stdout.write(`${describeConfig(loaded.config, today(loaded.config.site.time_zone))}\n`);
  return 0;
}

const today = (zone: string): LocalDate => new Calendar(zone).dateAt(createSystemClock().now());
