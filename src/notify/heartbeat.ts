import { type Clock, type Logger, MINUTE, type Millis, SECOND } from '../units/index.ts';
import type { HeartbeatConfig } from './config.ts';
import { readAddress } from './webhook-address.ts';

export interface Heartbeat {
  start(): void;
  /** Nothing is sent any more; what is on its way is broken off. */
  stop(): void;
}

const TIMEOUT = (10 * SECOND) as Millis;
/** The first one comes soon, so that a restart does not look like a death. */
const FIRST_AFTER = (15 * SECOND) as Millis;
/** Many daemons behind one clock must not all call at the full minute: ± this part of the interval. */
const JITTER = 0.1;
/** The same trouble again and again is told only this often. */
const REPEAT_TROUBLE = (60 * MINUTE) as Millis;

/**
 * Calls an address of the keeper's choice again and again while the daemon is well, so that its
 * silence there tells of its death. Not called while it is unwell; failures are only logged.
 * @param parts.whatIsWrong undefined while the daemon is well, else the reason, for the log
 * @param parts.chance a number from 0 to 1, as Math.random gives it
 * @throws CodedError AMP_NOTIFY_URL
 */
export function createHeartbeat(
  config: HeartbeatConfig,
  parts: {
    whatIsWrong: () => string | undefined;
    clock: Clock;
    logger: Logger;
    chance?: () => number;
    firstAfter?: Millis;
    timeout?: Millis;
  },
): Heartbeat {
  const { whatIsWrong, clock, logger, chance = Math.random } = parts;
  const { firstAfter = FIRST_AFTER, timeout = TIMEOUT } = parts;
  const { url, headers } = readAddress('notify.heartbeat', config);
  const every = config.every_min * MINUTE;
  const stopped = new AbortController();
  let timer: NodeJS.Timeout | undefined;
  let told: { readonly trouble: string; readonly at: Millis } | undefined;

  function wake(after: number): void {
    timer = setTimeout(() => {
      wake(every * (1 + JITTER * (2 * chance() - 1)));
      void beat();
    }, after);
    timer.unref();
  }

  async function beat(): Promise<void> {
    const unwell = whatIsWrong();
    if (unwell !== undefined) {
      tell(`the daemon is not well: ${unwell}`);
      return;
    }
    const tooLate = AbortSignal.timeout(timeout);
    try {
      const answer = await fetch(url, {
        method: config.method,
        headers,
        signal: AbortSignal.any([tooLate, stopped.signal]),
      });
      answer.body?.cancel().catch(() => {});
      if (answer.ok) told = undefined;
      else tell(`HTTP ${answer.status}`);
    } catch {
      if (stopped.signal.aborted) return;
      const why = tooLate.aborted ? `no answer within ${timeout / SECOND} s` : 'cannot be reached';
      tell(why);
    }
  }

  function tell(trouble: string): void {
    const now = clock.monotonic();
    if (told?.trouble === trouble && now - told.at < REPEAT_TROUBLE) return;
    told = { trouble, at: now };
    logger.warn({ host: url.host, trouble }, 'no heartbeat was sent');
  }

  return {
    start() {
      if (timer === undefined && !stopped.signal.aborted) wake(firstAfter);
    },
    stop() {
      stopped.abort();
      clearTimeout(timer);
    },
  };
}
