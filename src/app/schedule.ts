import { type ScheduledTask, schedule } from 'node-cron';
import type { Logger } from '../units/index.ts';

/**
 * What wakes the daemon. Cron only wakes: what is due is decided by stored watermarks, so a tick
 * that comes late, twice or never costs nothing but time. Ticks are in UTC; local periods are the
 * calendar's business.
 */
export interface Wakings {
  /** Every second: what keepers ask. */
  readonly second: () => void;
  /** Every ten seconds: reckon, look, tell. */
  readonly tick: () => void;
  /** Every hour: save what was learned, tidy the store. */
  readonly hour: () => void;
}

export function startSchedule(wakings: Wakings, logger: Logger): { stop(): void } {
  const guarded = (name: string, work: () => void) => (): void => {
    try {
      work();
    } catch (err) {
      logger.error({ err, job: name }, 'a scheduled job failed; it will be tried again');
    }
  };
  const options = { timezone: 'UTC', noOverlap: true, suppressMissedWarning: true };
  const tasks: ScheduledTask[] = [
    schedule('* * * * * *', guarded('second', wakings.second), { ...options, name: 'second' }),
    schedule('*/10 * * * * *', guarded('tick', wakings.tick), { ...options, name: 'tick' }),
    schedule('0 7 * * * *', guarded('hour', wakings.hour), { ...options, name: 'hour' }),
  ];
  return {
    stop: () => {
      for (const task of tasks) void task.destroy();
    },
  };
}
