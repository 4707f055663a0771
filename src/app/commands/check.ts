import { describeConfig, formatProblems } from '../../config/index.ts';
import { Calendar, type LocalDate } from '../../units/index.ts';
import { createSystemClock } from '../clock.ts';
import { configArgument, WRONG_CONFIG } from './config-argument.ts';

/** `ampulla check FILE`: says what would run, or every error with its line. */
export async function checkCommand(args: string[]): Promise<number> {
  const given = configArgument('check', args, 'ampulla check FILE');
  if (given === undefined) return WRONG_CONFIG;
  const { loaded } = given;
  if (loaded.warnings.length > 0) {
    process.stderr.write(`${formatProblems(loaded.warnings)}\n\n`);
  }
  process.stdout.write(`${describeConfig(loaded.config, today(loaded.config.site.time_zone))}\n`);
  return 0;
}

const today = (zone: string): LocalDate => new Calendar(zone).dateAt(createSystemClock().now());
