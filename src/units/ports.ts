import type { Instant, Millis } from './quantities.ts';

/** Time, handed in: pure rooms never ask the machine. */
export interface Clock {
  /** Wall-clock time as best known. May step when the machine's clock is set. */
  now(): Instant;
  /** Time since some fixed start; never steps. */
  monotonic(): Millis;
}

type LogFields = Readonly<Record<string, unknown>>;

export interface Logger {
  debug(fields: LogFields, message: string): void;
  info(fields: LogFields, message: string): void;
  warn(fields: LogFields, message: string): void;
  error(fields: LogFields, message: string): void;
}
