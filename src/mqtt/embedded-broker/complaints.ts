import { type Logger, MINUTE } from '../../units/index.ts';

/** Client errors, told once a minute at most: a broken plug may come back twice a second. */
export interface Complaints {
  note(clientId: string | null | undefined, error: Error): void;
  stop(): void;
}

export function createComplaints(logger: Logger): Complaints {
  let held = 0;
  let quiet: NodeJS.Timeout | undefined;

  function tellHeld(): void {
    quiet = undefined;
    if (held > 0) logger.warn({ count: held }, 'more clients of the embedded broker had errors');
    held = 0;
  }

  return {
    note(clientId, error) {
      if (quiet !== undefined) {
        held += 1;
        return;
      }
      quiet = setTimeout(tellHeld, MINUTE).unref();
      logger.warn(
        { client: clientId ?? undefined, reason: error.message },
        'a client of the embedded broker had an error',
      );
    },
    stop() {
      clearTimeout(quiet);
      tellHeld();
    },
  };
}
