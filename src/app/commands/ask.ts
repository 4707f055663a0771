import { setTimeout as pause } from 'node:timers/promises';
import type { Clerk } from '../../storage/index.ts';
import { createSystemClock } from '../clock.ts';
import type { KeeperRequest } from '../requests.ts';

/** The daemon looks every second. */
const PATIENCE_MS = 15_000;
const PAUSE_MS = 200;
/** What was asked was not done. */
const NOT_DONE = 1;

/** Asks the running daemon, waits for its answer and says it; the exit code tells whether it did. */
export async function ask(clerk: Clerk, request: KeeperRequest): Promise<number> {
  const number = clerk.addRequest(request, createSystemClock().now());
  for (let waited = 0; waited < PATIENCE_MS; waited += PAUSE_MS) {
    const answer = clerk.answerTo(number);
    if (answer !== undefined) {
      (answer.done ? process.stdout : process.stderr).write(`${answer.words}\n`);
      return answer.done ? 0 : NOT_DONE;
    }
    await pause(PAUSE_MS);
  }
  process.stderr.write(
    'ampulla: no answer. Is the daemon running with this file? It takes the request up if it starts within ten minutes.\n',
  );
  return NOT_DONE;
}
