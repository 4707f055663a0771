import { type DestinationStream, destination, pino } from 'pino';
import type { Logger } from '../units/index.ts';
import type { LogConfig } from './config.ts';

/**
 * One JSON line an event, to standard output unless told. Written synchronously and without a
 * transport: the last words of a dying process must not be lost.
 */
export function createLogger(config: LogConfig, stream?: DestinationStream): Logger {
  return pino(
    {
      level: config.level,
      base: null,
      timestamp: () => `,"time":"${new Date().toISOString()}"`,
      formatters: { level: (label) => ({ level: label }) },
    },
    stream ?? destination({ dest: 1, sync: true }),
  );
}
