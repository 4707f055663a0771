import { createLogger } from '../../telemetry/index.ts';
import { aborted } from '../aborted.ts';
import { createSystemClock } from '../clock.ts';
import { startDaemon } from '../daemon.ts';
import { configArgument, WRONG_CONFIG } from './config-argument.ts';

/** `ampulla start FILE`: runs until it is told to stop. */
export async function startCommand(args: string[]): Promise<number> {
  const given = configArgument(
    'start',
    args,
    'ampulla start FILE, such as ampulla start config/starter.yaml',
  );
  if (given === undefined) return WRONG_CONFIG;
  const { file, loaded } = given;
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
