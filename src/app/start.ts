import { parseArgs } from 'node:util';
import { formatProblems, loadConfig } from '../config/index.ts';
import { createLogger } from '../telemetry/index.ts';
import { CodedError } from '../units/index.ts';
import { aborted } from './aborted.ts';
import { createSystemClock } from './clock.ts';
import { startDaemon } from './daemon.ts';

/** sysexits.h EX_CONFIG: a supervisor need not try again. */
export const WRONG_CONFIG = 78;

/** `ampulla start FILE`: runs until it is told to stop. */
export async function startCommand(args: string[]): Promise<number> {
  const { positionals } = parseArgs({ args, allowPositionals: true });
  const file = positionals[0];
  if (file === undefined || positionals.length > 1) {
    throw new CodedError('AMP_APP_USAGE', 'start takes one configuration file', {
      remedy: 'ampulla start FILE, such as ampulla start config/starter.yaml',
    });
  }
  const loaded = loadConfig(file, process.env);
  if (!loaded.ok) {
    process.stderr.write(`${formatProblems(loaded.problems)}\n`);
    return WRONG_CONFIG;
  }
  const logger = createLogger(loaded.config.log);
  for (const warning of loaded.warnings)
    logger.warn({ ...warning }, 'the configuration has an oddity');

  const stopped = new AbortController();
  const starting = startDaemon({
    config: loaded.config,
    file,
    clock: createSystemClock(),
    logger,
    onFatal: () => stopped.abort(1),
  });
  // Heard from the beginning on: unheard, a signal would end the process on the spot.
  process.on('SIGHUP', () =>
    starting.then(
      (daemon) => daemon.reload(),
      () => false,
    ),
  );
  for (const signal of ['SIGTERM', 'SIGINT'] as const) {
    process.once(signal, () => {
      logger.info({ signal }, 'stopping');
      stopped.abort(0);
    });
  }
  const daemon = await starting;
  await aborted(stopped.signal);
  await daemon.stop();
  return Number(stopped.signal.reason);
}
